"""Results to disk: written under a temporary name, then renamed, so that they are there whole or not at all."""

import os
import secrets
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from grader.errors import OutputNotWritable

# Bytes of a name that its temporary name keeps: common disks take 255, and ten are added.
_NAME_START_BYTES = 200


@contextmanager
def new_folder(
    out: Path, *, force: bool = False, keep: Sequence[Path] = (), work_in: Path | None = None
) -> Iterator[Path]:
    """Temporary folder that becomes `out` when the block ends well, and vanishes when it does not.

    Parameters
    ----------
    out
        Folder to make. Where it exists, `force` is needed, and then files of the same names in it are replaced one by
        one; all others stay.
    force
        Whether an existing folder may be written into.
    keep
        Files that are never replaced: the user's photos.
    work_in
        Folder on the same disk for the temporary one; None for the one in which `out` will lie.

    Raises
    ------
    OutputNotWritable
        If the folder exists and `force` is not given, or if it cannot be written.
    """
    check_new_folder(out, force=force)
    with _words_for_disk_faults(out):
        out.parent.mkdir(parents=True, exist_ok=True)
        work = _temporary_name(out if work_in is None else work_in / out.name)
        try:
            # within the try: a stop between the folder's making and its first use must not leave it behind
            work.mkdir()
            yield work
            _put_in_place(work, out, {path.resolve() for path in keep}, force=force)
        finally:
            shutil.rmtree(work, ignore_errors=True)


@contextmanager
def new_file(path: Path, *, force: bool = False, keep: Sequence[Path] = ()) -> Iterator[Path]:
    """Temporary name that becomes `path` when the block ends well, and vanishes when it does not.

    Raises
    ------
    OutputNotWritable
        If the file exists and `force` is not given, if it is one of `keep`, or if it cannot be written.
    """
    check_new_file(path, force=force, keep=keep)
    with _words_for_disk_faults(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        work = _temporary_name(path)
        try:
            yield work
            work.replace(path)
        finally:
            work.unlink(missing_ok=True)


def check_new_folder(out: Path, *, force: bool = False) -> None:
    """Complain early, before the work, where `new_folder` would complain late."""
    if out.exists() and not out.is_dir():
        raise OutputNotWritable(f"{out}: there is a file of this name already.", "Give another name for the folder.")
    if out.exists() and not force:
        raise OutputNotWritable(
            f"{out}: the folder exists already.",
            "Give another name, or add --force to replace the results in it.",
        )


def check_new_file(path: Path, *, force: bool = False, keep: Sequence[Path] = ()) -> None:
    """Complain early, before the work, where `new_file` would complain late."""
    if path.is_dir():
        raise OutputNotWritable(f"{path}: this is a folder, and a file name is needed.", "Add a file name to it.")
    if path.exists() and (not force or path.resolve() in {kept.resolve() for kept in keep}):
        raise OutputNotWritable(
            f"{path}: the file exists already.",
            "Give another name, or add --force to replace it. Photos are never replaced.",
        )


def _temporary_name(path: Path) -> Path:
    """Free name beside `path`, on the same disk so that renaming is one step."""
    # Cut, since a name as long as the disk allows has no room for more.
    start = os.fsdecode(os.fsencode(path.name)[:_NAME_START_BYTES])
    return path.parent / f'.{start}-{secrets.token_hex(4)}'


def _put_in_place(work: Path, out: Path, keep: set[Path], *, force: bool) -> None:
    if not force or not out.exists():
        # Where another program made the folder meanwhile, renaming fails, and its results stay.
        work.rename(out)
        return
    made = sorted(path.relative_to(work) for path in work.rglob('*') if path.is_file())
    for name in made:
        if (out / name).resolve() in keep:
            raise OutputNotWritable(f"{out / name}: this would replace a photo.", "Give another folder with --out.")
    for name in made:
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (work / name).replace(out / name)


@contextmanager
def _words_for_disk_faults(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as err:
        raise OutputNotWritable(
            f"{path}: it cannot be written ({err.strerror or err}).",
            "Check that there is room on the disk and that you may write there, or give another place with --out.",
        ) from err
