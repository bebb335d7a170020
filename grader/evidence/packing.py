"""What goes into a bag: the files of an examination, and the photos that its record names."""

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.errors import PhotoSetUnusable, RecordUnreadable
from grader.evidence.hashing import digests_of_file
from grader.evidence.layout import EXAMINATION, PHOTOS, RECORD
from grader.evidence.names import portable_names, shown
from grader.record import GradingRecord, PhotoFacts, read_record

_RECORD_NAME = 'record.json'
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
    """Files of the examination in `folder`, and the original photos.

    Photos are looked for in `photo_folders`, in the examination's folder and its subfolder "photos", and in the folder
    around it; by their bytes, so that a photo that was renamed is found too.

    Raises
    ------
    RecordUnreadable
        If there is no folder, or no record that can be read in it, or something in it that is no ordinary file.
    PhotoSetUnusable
        If a photo is not found, or not as it was when it was examined.
    """
    if not folder.is_dir():
        raise RecordUnreadable(f"{folder}: there is no such folder.", "Give a folder that \"grader examine\" wrote.")
    record = read_record(folder / _RECORD_NAME)
    where = (*photo_folders, folder, folder / _PHOTO_SUBFOLDER, folder.resolve().parent)
    photos = find_photos(record, where, folder)
    names = portable_names([one.name for one in record.photos])
    packed_photos = [
        PackedFile(path, PHOTOS + name, facts.sha256)
        for path, name, facts in zip(photos, names, record.photos, strict=True)
    ]
    originals = {path.resolve() for path in photos}
    results = [one for one in _tree(folder, EXAMINATION) if one.source.resolve() not in originals]
    results.sort(key=lambda one: (one.place != RECORD, one.place))
    return Packing((*results, *packed_photos))


def find_photos(record: GradingRecord, folders: Sequence[Path], examination: Path) -> list[Path]:
    """File of each photo of the record, found by its bytes.

    Raises
    ------
    PhotoSetUnusable
        If one is not found, or changed; all are told at once.
    """
    found, faults = [], []
    for facts in record.photos:
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


def _photo_among(facts: PhotoFacts, folders: Sequence[Path]) -> Path | None:
    """The photo's file, first sought under its own name, or None."""
    of_this_size = [path for folder in folders for path in _plain_files(folder) if _size(path) == facts.n_bytes]
    for path in sorted(of_this_size, key=lambda path: path.name != facts.name):
        if digests_of_file(path, ('sha256',))['sha256'] == facts.sha256:
            return path
    return None


def _fault_of(facts: PhotoFacts, folders: Sequence[Path]) -> str:
    # The name stands in a record, which may come from elsewhere: it is compared, and no path is made of it.
    namesakes = [path for folder in folders for path in _plain_files(folder) if path.name == facts.name]
    if namesakes:
        return f"{shown(facts.name)}: {namesakes[0]} has changed since it was examined."
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
    with os.scandir(folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry, name in zip(entries, portable_names([entry.name for entry in entries]), strict=True):
        if entry.is_dir(follow_symlinks=False):
            yield from _tree(Path(entry.path), f'{place}{name}/')
        elif entry.is_file(follow_symlinks=False):
            yield PackedFile(Path(entry.path), place + name)
        else:
            raise RecordUnreadable(
                f"{shown(entry.path)}: this is a link or no ordinary file, which cannot be sealed.",
                "Put a copy of the file itself in its place, or take it out of the folder.",
            )
