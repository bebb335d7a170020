"""What goes into a bag: the files of an examination or a comparison, and the photos that its record names."""

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.errors import PhotoSetUnusable, RecordUnreadable
from grader.evidence.hashing import digests_of_file
from grader.evidence.layout import EXAMINATION, PHOTOS, RECORDS
from grader.evidence.named_photos import COMPARISON_NAME, RECORD_NAME, photos_named_in
from grader.evidence.names import portable_names, shown
from grader.record import PhotoFacts

_PHOTO_SUBFOLDER = 'photos'


@dataclass(frozen=True, slots=True)
class PackedFile:
    """One file, and where it goes."""

    source: Path
    place: str
    """Path in the bag."""
    sha256: str = ''
    """What its bytes must be; '' where the record does not say."""


@dataclass(frozen=True, slots=True)
class Packing:
    """All files of a bag's payload, the record first."""

    files: tuple[PackedFile, ...]


def plan_packing(folder: Path, photo_folders: Sequence[Path] = ()) -> Packing:
    """Files of the examination or comparison in `folder`, and the original photos.

    Photos are looked for in `photo_folders`, in the examination's folder and its subfolder "photos", and in the folder
    around it; by their bytes, so that a photo that was renamed is found too.

    Raises
    ------
    RecordUnreadable
        If there is no folder, or no record that can be read in it, or something else in it that cannot be read.
    PhotoSetUnusable
        If a photo is not found, or not as it was when it was examined.
    """
    if not folder.is_dir():
        raise RecordUnreadable(f"{folder}: there is no such folder.", "Give a folder that \"grader examine\" wrote.")
    named = _named_photos(folder)
    where = (*photo_folders, folder, folder / _PHOTO_SUBFOLDER, folder.resolve().parent)
    photos = find_photos(named, where, folder)
    names = portable_names([one.name for one in named])
    packed_photos = [
        PackedFile(path, PHOTOS + name, facts.sha256) for path, name, facts in zip(photos, names, named, strict=True)
    ]
    originals = {path.resolve() for path in photos}
    results = [one for one in _tree(folder, EXAMINATION) if one.source.resolve() not in originals]
    results.sort(key=lambda one: (one.place not in RECORDS, one.place))
    return Packing((*results, *packed_photos))


def find_photos(named: Sequence[PhotoFacts], folders: Sequence[Path], examination: Path) -> list[Path]:
    """File of each photo that the record names, found by its bytes.

    Raises
    ------
    PhotoSetUnusable
        If one is not found, or changed; all are told at once.
    """
    found, faults = [], []
    for facts in named:
        path = _photo_among(facts, folders)
        if path is None:
            faults.append(_fault_of(facts, folders))
        else:
            found.append(path)
    if faults:
        raise PhotoSetUnusable(
            f"{examination}: not all photos of the record are there as they were:\n"
            + ''.join(f"- {fault}\n" for fault in faults),
            "Name the folder with the original photos behind --photos; or examine the photos again as they are now.",
        )
    return found


def _named_photos(folder: Path) -> tuple[PhotoFacts, ...]:
    """Photos of the record, or of the comparison, in a folder; each once."""
    files = [folder / name for name in (RECORD_NAME, COMPARISON_NAME) if (folder / name).is_file()]
    if not files:
        raise RecordUnreadable(
            f"{folder}: there is no record.json in this folder, nor a comparison.json.",
            "Give a folder that \"grader examine --out\" or \"grader compare --out\" wrote.",
        )
    photos = [photo for file in files for photo in photos_named_in(_bytes_of(file), file.name)]
    return tuple({photo.sha256: photo for photo in photos}.values())


def _bytes_of(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as err:
        raise _not_opened(path) from err


def _not_opened(path: Path) -> RecordUnreadable:
    return RecordUnreadable(
        f"{shown(str(path))}: it cannot be opened.", "Check that you may read it and that its disk is connected."
    )


def _photo_among(facts: PhotoFacts, folders: Sequence[Path]) -> Path | None:
    """The photo's file, first sought under its own name, or None."""
    of_this_size = [path for folder in folders for path in _plain_files(folder) if _size(path) == facts.n_bytes]
    for path in sorted(of_this_size, key=lambda path: path.name != facts.name):
        if _sha256_of(path) == facts.sha256:
            return path
    return None


def _sha256_of(path: Path) -> str:
    """SHA-256 of a file, '' where it cannot be read."""
    try:
        return digests_of_file(path, ('sha256',))['sha256']
    except OSError:
        return ''


def _fault_of(facts: PhotoFacts, folders: Sequence[Path]) -> str:
    # The name stands in a record, which may come from elsewhere: it is compared, and no path is made of it.
    namesakes = [path for folder in folders for path in _plain_files(folder) if path.name == facts.name]
    if namesakes:
        return f"{shown(facts.name)}: {namesakes[0]} has changed since it was examined, or cannot be read."
    return f"{shown(facts.name)}: not found."


def _plain_files(folder: Path) -> list[Path]:
    try:
        with os.scandir(folder) as entries:
            return sorted(Path(entry.path) for entry in entries if entry.is_file())
    except OSError:
        return []


def _size(path: Path) -> int:
    return path.stat().st_size


def _tree(folder: Path, place: str) -> Iterator[PackedFile]:
    """All files of a folder and of those in it, by name, with portable names."""
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError as err:
        raise _not_opened(folder) from err
    for entry, name in zip(entries, portable_names([entry.name for entry in entries]), strict=True):
        if entry.is_dir(follow_symlinks=False):
            yield from _tree(Path(entry.path), f'{place}{name}/')
        elif entry.is_file(follow_symlinks=False):
            if not os.access(entry.path, os.R_OK):
                raise _not_opened(Path(entry.path))
            yield PackedFile(Path(entry.path), place + name)
        else:
            raise RecordUnreadable(
                f"{shown(entry.path)}: this is a link or no ordinary file, which cannot be sealed.",
                "Put a copy of the file itself in its place, or take it out of the folder.",
            )
