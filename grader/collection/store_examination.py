"""Storing an examination in a piece's folder: a copy of its whole folder, and of the photos it was made from."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.collection.change import change_of
from grader.collection.durable import copy_durably
from grader.collection.examinations import EXAMINATIONS_FOLDER, StoredExamination, examinations_of, is_sealed, next_name
from grader.collection.place import CollectionPlace
from grader.errors import RecordUnreadable, SettingsInvalid
from grader.record import GradingRecord, read_record

PHOTOS_FOLDER = 'photos'


@dataclass(frozen=True, slots=True)
class Storing:
    """What was stored."""

    folder: Path
    photos_missing: tuple[str, ...]
    """Photos that the record names and that are stored neither with it nor by now."""
    photos_unknown: tuple[str, ...]
    """Stored photos that the record does not name, such as those of a parcel."""


def store_examination(place: CollectionPlace, piece_folder: Path, source: Path, photos: Sequence[Path]) -> Storing:
    """Store an examination under the next number; to be called under the lock.

    Parameters
    ----------
    place
        The collection.
    piece_folder
        Folder of the piece.
    source
        Folder that ``grader examine --out`` made, or what was packed of it. It is copied as it is.
    photos
        Photos to be stored beside it.

    Raises
    ------
    RecordUnreadable
        If there is no record in the folder, or one that this program cannot read.
    SettingsInvalid
        If the same examination is stored already, or a photo is missing.
    """
    _check_apart(place, source)
    record_file = _record_file(source)
    record = read_record(record_file)
    _check_not_stored(piece_folder, source, record_file)
    _check_photos(source, photos)
    target = piece_folder / EXAMINATIONS_FOLDER / next_name(piece_folder, record_file)
    with change_of(place) as change:
        staged = change.copy_folder(source, target)
        if photos:
            (staged / PHOTOS_FOLDER).mkdir(exist_ok=True)
        for path in photos:
            copy_durably(path, staged / PHOTOS_FOLDER / path.name)
    return _storing(target, record, source, photos)


def _record_file(source: Path) -> Path:
    if not source.is_dir():
        raise RecordUnreadable(
            f"{source}: there is no such folder.", "Give the folder that \"grader examine --out\" made."
        )
    found = StoredExamination(0, source).record_file()
    if found is None:
        raise RecordUnreadable(
            f"{source}: there is no record.json in the folder, or more than one, as in a comparison.",
            "Give the folder that \"grader examine --out\" made.",
        )
    return found


def _check_not_stored(piece_folder: Path, source: Path, record_file: Path) -> None:
    """Complain of an examination that is stored already; its sealed form may follow the open one."""
    text = record_file.read_bytes()
    for one in examinations_of(piece_folder):
        other = one.record_file()
        if other is not None and other.read_bytes() == text and is_sealed(one.folder) == is_sealed(source):
            raise SettingsInvalid(
                f"{source}: this examination is stored already, as {one.folder.name}.", "There is nothing to do."
            )


def _check_photos(source: Path, photos: Sequence[Path]) -> None:
    if photos and is_sealed(source):
        raise SettingsInvalid(
            f"{source}: the folder is sealed, and nothing may be put into it.", "Leave the photos out: it has its own."
        )
    names = [path.name.casefold() for path in photos]
    for path in photos:
        if not path.is_file():
            raise SettingsInvalid(f"{path}: there is no such photo.", "Check the name.")
        if names.count(path.name.casefold()) > 1 or (source / PHOTOS_FOLDER / path.name).exists():
            raise SettingsInvalid(
                f"{path.name}: two photos have this name.", "Give each once, or copy one under another name."
            )


def _check_apart(place: CollectionPlace, source: Path) -> None:
    if place.root.resolve().is_relative_to(source.resolve()):
        raise SettingsInvalid(f"{source}: the collection itself lies in this folder.", "Give the examination's folder.")


def _storing(target: Path, record: GradingRecord, source: Path, photos: Sequence[Path]) -> Storing:
    inside = (path for path in sorted(source.rglob('*')) if path.is_file())
    have = {_sha256(path) for path in [*inside, *photos]}
    needed = {photo.sha256 for photo in record.photos}
    return Storing(
        target,
        tuple(photo.name for photo in record.photos if photo.sha256 not in have),
        tuple(path.name for path in photos if _sha256(path) not in needed),
    )


def _sha256(path: Path) -> str:
    with path.open('rb') as file:
        return hashlib.file_digest(file, 'sha256').hexdigest()
