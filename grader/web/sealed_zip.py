"""Sealed bags as one zip file: the same bags always give the same bytes."""

import os
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from stat import S_ISDIR, S_ISREG
from typing import BinaryIO, cast

from grader.errors import RecordUnreadable
from grader.evidence.constants import BLOCK_BYTES

# Zip files hold a time for each file; this is the earliest that they can, and says nothing.
_NO_TIME = (1980, 1, 1, 0, 0, 0)
_PLAIN_FILE = 0o100644 << 16
_UNIX = 3


def packed_zip(bags: Sequence[Path]) -> BinaryIO:
    """Zip file of bags, which has no name on the disk and is gone once it is closed.

    Raises
    ------
    RecordUnreadable
        If something in a bag is a link or cannot be read.
    """
    # Closed by whoever sends it.
    packed = cast(BinaryIO, tempfile.TemporaryFile(prefix='grader-zip-'))  # noqa: SIM115
    try:
        write_zip(bags, packed)
    except BaseException:
        packed.close()
        raise
    return packed


def write_zip(bags: Sequence[Path], target: BinaryIO) -> None:
    """Write bags, each in a folder of its name, into a zip file.

    Nothing is pressed together: photos hardly would be, and so the bytes do not depend on any library's version.

    Raises
    ------
    RecordUnreadable
        If something in a bag is a link or cannot be read.
    """
    with zipfile.ZipFile(target, 'w', zipfile.ZIP_STORED) as packed:
        for bag in bags:
            for path in _files(bag):
                _add(packed, path, f'{bag.name}/{path.relative_to(bag).as_posix()}')


def _add(packed: zipfile.ZipFile, path: Path, name: str) -> None:
    entry = zipfile.ZipInfo(name, _NO_TIME)
    entry.external_attr, entry.create_system = _PLAIN_FILE, _UNIX
    try:
        entry.file_size = path.stat().st_size
        with path.open('rb') as source, packed.open(entry, 'w') as written:
            while block := source.read(BLOCK_BYTES):
                written.write(block)
    except OSError as err:
        raise RecordUnreadable(
            f"{name}: it cannot be read ({err.strerror or err}).", "Check the disk that the collection lies on."
        ) from err


def _files(bag: Path) -> Iterator[Path]:
    """All files of a bag, sorted by their paths."""
    for entry in sorted(os.scandir(bag), key=lambda entry: entry.name):
        mode = entry.stat(follow_symlinks=False).st_mode
        if S_ISDIR(mode):
            yield from _files(Path(entry.path))
        elif S_ISREG(mode):
            yield Path(entry.path)
        else:
            raise RecordUnreadable(
                f"{bag.name}/{entry.name}: this is a link or no ordinary file, and a bag must hold none.",
                "Check the seal; then take the bag from a copy that you trust.",
            )
