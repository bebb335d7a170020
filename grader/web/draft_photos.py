"""Photos into a draft and out of it."""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.collection.durable import settle_folder
from grader.collection.place import CollectionPlace
from grader.errors import OutputNotWritable
from grader.evidence.names import clash_key
from grader.web.draft import Draft, DraftPhoto
from grader.web.drafts import change_draft, folder_of
from grader.web.intake import DecodedPhoto, RefusedFile
from grader.web.photo_names import free_name
from grader.web.upload_constants import MAX_DRAFT_PHOTOS


@dataclass(frozen=True, slots=True)
class Added:
    """What became of sent files."""

    draft: Draft
    names: tuple[str, ...]
    """Names of the photos that are new."""
    refused: tuple[RefusedFile, ...]


def add_photos(place: CollectionPlace, piece_id: str, token: str, files: Sequence[DecodedPhoto | RefusedFile]) -> Added:
    """Put decoded photos into a draft; each comes in whole, or is refused with a reason.

    Raises
    ------
    DraftNotFound
        If there is no such draft (any more).
    OutputNotWritable
        If the disk is full.
    """
    refused: list[RefusedFile] = []
    names: list[str] = []

    def add(draft: Draft) -> Draft:
        folder = folder_of(place, token)
        _sweep(folder, draft)
        photos = list(draft.photos)
        for file in files:
            photo = _placed(file, photos)
            if isinstance(photo, RefusedFile):
                refused.append(photo)
            elif isinstance(file, DecodedPhoto):
                os.replace(file.path, folder / 'photos' / photo.name)
                os.replace(file.preview, folder / 'previews' / f'{photo.key}.jpg')
                photos.append(photo)
                names.append(photo.name)
        if names:
            settle_folder(folder / 'photos')
        return draft.model_copy(update={'photos': tuple(photos)})

    try:
        draft = change_draft(place, piece_id, token, add)
    except OutputNotWritable:
        _tidy(place, piece_id, token)
        raise
    return Added(draft, tuple(names), tuple(refused))


def remove_photo(place: CollectionPlace, piece_id: str, token: str, key: str) -> Draft:
    """Take a photo out of a draft; one that is not there (any more) is no fault."""

    def remove(draft: Draft) -> Draft:
        kept = tuple(photo for photo in draft.photos if photo.key != key)
        return draft.model_copy(update={'photos': kept})

    change_draft(place, piece_id, token, remove)
    return _tidy(place, piece_id, token)


def _placed(file: DecodedPhoto | RefusedFile, photos: Sequence[DraftPhoto]) -> DraftPhoto | RefusedFile:
    """The photo as a draft with these photos would have it, or why not."""
    if isinstance(file, RefusedFile):
        return file
    twin = next((photo for photo in photos if photo.sha256 == file.sha256), None)
    if twin is not None:
        as_what = "" if twin.name == file.path.name else f", as {twin.name}"
        return RefusedFile(
            file.path.name, f"{file.path.name}: this photo is here already{as_what}.", "There is nothing to do."
        )
    if len(photos) >= MAX_DRAFT_PHOTOS:
        return RefusedFile(
            file.path.name,
            f"{file.path.name}: there are {MAX_DRAFT_PHOTOS} photos already, and more are not examined at once.",
            "Remove those that show the same as others, or examine these first.",
        )
    return DraftPhoto(
        name=free_name(file.path.name, file.file_format, [photo.name for photo in photos]),
        sha256=file.sha256,
        n_bytes=file.n_bytes,
        size_px=file.size_px,
        taken_at=file.taken_at,
        camera=file.camera,
    )


def _tidy(place: CollectionPlace, piece_id: str, token: str) -> Draft:
    """Sweep a draft's folder; return the draft."""

    def sweep(draft: Draft) -> Draft:
        _sweep(folder_of(place, token), draft)
        return draft

    return change_draft(place, piece_id, token, sweep)


def _sweep(folder: Path, draft: Draft) -> None:
    """Take away files that the draft does not name: removed ones, and those of a stopped program."""
    # Some disks spell accents their own way.
    known = {clash_key(photo.name) for photo in draft.photos} | {f'{photo.key}.jpg' for photo in draft.photos}
    for part in ('photos', 'previews'):
        for path in (folder / part).iterdir():
            if clash_key(path.name) not in known:
                path.unlink()
