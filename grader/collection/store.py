"""Changes to a collection: add a piece, edit it, remove it. Each is made under the lock, whole or not at all."""

import secrets
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from grader.collection.change import Change, change_of
from grader.collection.durable import write_durably
from grader.collection.folder_name import folder_name, new_id
from grader.collection.index import Index
from grader.collection.piece import PIECE_FILE, Piece, PiecePhoto, faults_of
from grader.collection.piece_folder import PHOTOS_FOLDER, StoredPiece, next_earlier
from grader.collection.place import CollectionPlace
from grader.errors import SettingsInvalid


@dataclass(frozen=True, slots=True)
class NewPhoto:
    """A photo to be copied into a piece's folder."""

    path: Path
    with_scale: bool = False
    """Whether a scale is in the picture."""


def add_piece(place: CollectionPlace, index: Index, fields: dict[str, Any], photos: Sequence[NewPhoto]) -> StoredPiece:
    """Add a piece with an id of its own.

    Raises
    ------
    SettingsInvalid
        If a field does not fit, with all that do not.
    """
    bare = checked_piece({'id': new_id(index.ids(), secrets.choice), **fields})
    with change_of(place) as change:
        piece = checked_piece({**dict(bare), 'photos': _photo_entries(bare, photos)})
        folder = put_new_piece(change, place, piece)
        _copy_photos(change, place.pieces / folder, piece, photos, len(bare.photos))
    return StoredPiece(piece, place.pieces / folder)


def edit_piece(
    place: CollectionPlace, stored: StoredPiece, fields: dict[str, Any], photos: Sequence[NewPhoto]
) -> StoredPiece:
    """Change fields of a piece; the version before is kept beside it.

    Raises
    ------
    SettingsInvalid
        If a field does not fit, with all that do not.
    """
    before = stored.piece
    entries = (*before.photos, *_photo_entries(before, photos))
    piece = checked_piece({**dict(before), **fields, 'photos': entries})
    if piece == before:
        return stored
    with change_of(place) as change:
        put_changed_piece(change, stored, piece)
        _copy_photos(change, stored.folder, piece, photos, len(before.photos))
    return StoredPiece(piece, stored.folder)


def edit_photos(
    place: CollectionPlace, stored: StoredPiece, photos: Sequence[PiecePhoto], now: datetime
) -> StoredPiece:
    """Change order and descriptions of a piece's photos; the files of those that are left out move to the trash.

    Raises
    ------
    SettingsInvalid
        If one is none of the piece's photos, or there twice.
    """
    known = [photo.file for photo in stored.piece.photos]
    files = [photo.file for photo in photos]
    if len(set(files)) < len(files) or not set(files) <= set(known):
        raise SettingsInvalid("These are not the photos of this piece.", "Load the page anew.")
    piece = checked_piece({**dict(stored.piece), 'photos': tuple(photos)})
    if piece == stored.piece:
        return stored
    with change_of(place) as change:
        put_changed_piece(change, stored, piece)
        for name in sorted(set(known) - set(files)):
            source = stored.folder / PHOTOS_FOLDER / name
            if source.is_file():
                change.move(source, _free_in_trash(place, now, f'photos of {stored.folder.name}') / name)
    return StoredPiece(piece, stored.folder)


def remove_piece(place: CollectionPlace, folder: Path, now: datetime) -> Path:
    """Move a piece's folder into the trash; return where it lies there."""
    target = _free_in_trash(place, now, folder.name)
    with change_of(place) as change:
        change.move(folder, target)
    return target


def _free_in_trash(place: CollectionPlace, now: datetime, name: str) -> Path:
    """Place of this name in the trash of the day, with a number behind it where there is one already."""
    day = place.trash / now.strftime('%Y-%m-%d')
    target, number = day / name, 1
    while target.exists():
        number += 1
        target = day / f'{name} ({number})'
    return target


def checked_piece(fields: dict[str, Any]) -> Piece:
    """Piece with these fields.

    Raises
    ------
    SettingsInvalid
        If some do not fit.
    """
    try:
        return Piece.model_validate(fields)
    except ValidationError as err:
        raise SettingsInvalid(f"{'; '.join(faults_of(err))}.", "Nothing was changed. Mend this and try again.") from err


def put_new_piece(change: Change, place: CollectionPlace, piece: Piece) -> str:
    """Have a folder for a new piece; return its name."""
    name = folder_name(piece)
    staged = change.new_folder(place.pieces / name)
    write_durably(staged / PIECE_FILE, piece.to_json().encode())
    return name


def put_changed_piece(change: Change, stored: StoredPiece, piece: Piece) -> None:
    """Have another ``piece.json``, and the one before under its next number in ``earlier``."""
    change.put_file(next_earlier(stored.folder), (stored.folder / PIECE_FILE).read_bytes())
    change.put_file(stored.folder / PIECE_FILE, piece.to_json().encode())


def _photo_entries(piece: Piece, photos: Sequence[NewPhoto]) -> tuple[PiecePhoto, ...]:
    """Entries for new photos, each under a name that the piece does not have yet."""
    taken = {photo.file.casefold() for photo in piece.photos}
    entries = []
    for photo in photos:
        if not photo.path.is_file():
            raise SettingsInvalid(f"{photo.path}: there is no such photo.", "Check the name.")
        wanted = Path(unicodedata.normalize('NFC', photo.path.name))
        name, number = wanted.name, 1
        while name.casefold() in taken:
            number += 1
            name = f'{wanted.stem}-{number}{wanted.suffix}'
        taken.add(name.casefold())
        entries.append(checked_photo(name, photo.with_scale))
    return tuple(entries)


def checked_photo(name: str, with_scale: bool) -> PiecePhoto:
    """Entry of a photo.

    Raises
    ------
    SettingsInvalid
        If the name does not do on every disk.
    """
    try:
        return PiecePhoto(file=name, with_scale=with_scale)
    except ValidationError as err:
        raise SettingsInvalid(f"{'; '.join(faults_of(err))}.", "Copy the photo under a plain name.") from err


def _copy_photos(change: Change, folder: Path, piece: Piece, photos: Sequence[NewPhoto], n_before: int) -> None:
    for photo, entry in zip(photos, piece.photos[n_before:], strict=True):
        change.copy_file(photo.path, folder / PHOTOS_FOLDER / entry.file)
