"""The owner's photos of a piece, for wall, catalogue and schedule: taken in, described, put in order, taken out."""

from collections.abc import AsyncIterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from starlette.concurrency import run_in_threadpool

from grader.collection.index import index_for_changing
from grader.collection.piece import PiecePhoto, faults_of
from grader.collection.piece_folder import read_piece
from grader.collection.place import CollectionPlace
from grader.collection.store import NewPhoto, edit_photos, edit_piece
from grader.errors import SettingsInvalid, UploadRefused
from grader.web.desk import PURPOSE
from grader.web.intake import DecodedPhoto, RefusedFile, decode_all
from grader.web.jobs import Jobs
from grader.web.photo_names import free_name, safe_name
from grader.web.piece_changes import Shown, folder_of, shown_piece
from grader.web.uploads import incoming_folder, receive_form


@dataclass(frozen=True, slots=True)
class PhotoForm:
    """What a form says of one photo."""

    file: str
    shows: str
    with_scale: bool
    is_out: bool
    """Whether it is to be taken out."""


@dataclass(frozen=True, slots=True)
class PhotosConflict:
    """The piece is not what the form was shown with; nothing was changed."""

    shown: Shown
    wanted: tuple[PhotoForm, ...]


async def take_own_photos(
    jobs: Jobs, place: CollectionPlace, piece_id: str, content_type: str, stream: AsyncIterable[bytes]
) -> tuple[RefusedFile, ...]:
    """Take photos that were sent into a piece; return those that are none.

    Raises
    ------
    UploadRefused
        If what was sent cannot be read, or holds too much.
    PieceNotFound
        If there is no such piece.
    """
    with incoming_folder(place.own / 'incoming') as folder:
        form = await receive_form(content_type, stream, folder)
        if not form.files:
            raise UploadRefused("No photo was chosen.", "Choose or take at least one, then send it.")
        decoded = await run_in_threadpool(decode_all, jobs, form.files, f'/pieces/{piece_id}/photos')
        photos = [one for one in decoded if isinstance(one, DecodedPhoto)]
        if photos:
            await run_in_threadpool(_put_in, place, piece_id, photos, folder)
    return tuple(one for one in decoded if isinstance(one, RefusedFile))


def photo_forms(form: Mapping[str, Any]) -> tuple[PhotoForm, ...]:
    """What a form says of the photos, in the order in which it lists them; the one chosen for the wall comes first."""
    forms = []
    for number in range(1, len(form) + 1):
        name = form.get(f'file-{number}')
        if not isinstance(name, str):
            break
        shows = str(form.get(f'shows-{number}', '')).replace('\r\n', '\n')
        forms.append(PhotoForm(name, shows, f'scale-{number}' in form, f'out-{number}' in form))
    return tuple(sorted(forms, key=lambda one: one.file != form.get('first')))


def change_own_photos(
    place: CollectionPlace, piece_id: str, was: str, wanted: Sequence[PhotoForm], now: datetime
) -> PhotosConflict | None:
    """Change the photos of a piece as a form says that was shown with its state.

    Raises
    ------
    SettingsInvalid
        If a description cannot be kept.
    """
    with index_for_changing(place, PURPOSE) as index:
        shown = shown_piece(read_piece(place.pieces / folder_of(index, piece_id)))
        if was != shown.was:
            return PhotosConflict(shown, tuple(wanted))
        edit_photos(place, shown.stored, [_checked(one) for one in wanted if not one.is_out], now)
    return None


def _checked(form: PhotoForm) -> PiecePhoto:
    try:
        return PiecePhoto(file=form.file, shows=form.shows, with_scale=form.with_scale)
    except ValidationError as err:
        raise SettingsInvalid(
            f"{form.file}: {'; '.join(faults_of(err))}.", "Nothing was changed. Mend this and try again."
        ) from err


def _put_in(place: CollectionPlace, piece_id: str, photos: Sequence[DecodedPhoto], folder: Path) -> None:
    with index_for_changing(place, PURPOSE) as index:
        stored = read_piece(place.pieces / folder_of(index, piece_id))
        taken = [photo.file for photo in stored.piece.photos]
        new = []
        for number, photo in enumerate(photos):
            name = free_name(safe_name(photo.path.name), photo.file_format, taken)
            taken.append(name)
            # Each in a folder of its own, so that no name is in the way of another's.
            home = folder / f'named-{number}'
            home.mkdir()
            new.append(NewPhoto(photo.path.rename(home / name)))
        edit_piece(place, stored, {}, new)
