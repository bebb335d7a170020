"""Drafts on the disk: ``.grader/drafts/TOKEN/`` with ``draft.json``, ``photos/`` and ``previews/``.

All changes are made under one lock; ``draft.json`` is renamed into place and decides what counts. A photo that it does
not name never came in.
"""

import os
import re
import secrets
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout
from pydantic import ValidationError

from grader.collection.constants import LOCK_WAIT_S
from grader.collection.durable import settle_folder, write_durably
from grader.collection.place import CollectionPlace, words_for_disk_faults
from grader.errors import CollectionBusy, CollectionUnreadable, DraftNotFound
from grader.web.draft import TOKEN_PATTERN, Draft

_DRAFT_FILE = 'draft.json'
_GONE, _COMING = '.gone-', '.new-'


def folder_of(place: CollectionPlace, token: str) -> Path:
    """Folder of a draft.

    Raises
    ------
    DraftNotFound
        If the token is none; so no path comes from outside.
    """
    if not re.fullmatch(TOKEN_PATTERN, token, re.ASCII):
        raise _not_found()
    return place.own / 'drafts' / token


def photos_of(place: CollectionPlace, draft: Draft) -> Path:
    """Folder of a draft's photos."""
    return folder_of(place, draft.token) / 'photos'


def preview_of(place: CollectionPlace, draft: Draft, key: str) -> Path:
    """Preview of a photo of a draft.

    Raises
    ------
    DraftNotFound
        If it has no such photo.
    """
    if draft.photo(key) is None:
        raise _not_found()
    return folder_of(place, draft.token) / 'previews' / f'{key}.jpg'


def begin_draft(place: CollectionPlace, piece_id: str, now: datetime) -> Draft:
    """A draft without photos: the one that is there already, or a new one."""
    with _drafts_locked(place) as drafts:
        _sweep(drafts)
        for one in drafts_of(place, piece_id):
            if not one.photos:
                return one
        draft = Draft(token=secrets.token_hex(12), piece_id=piece_id, begun_at=now.isoformat(timespec='minutes'))
        coming = drafts / f'{_COMING}{draft.token}'
        for name in ('photos', 'previews'):
            (coming / name).mkdir(parents=True)
        write_durably(coming / _DRAFT_FILE, draft.to_json().encode())
        coming.rename(drafts / draft.token)
        settle_folder(drafts)
    return draft


def read_draft(place: CollectionPlace, piece_id: str, token: str) -> Draft:
    """Draft of a piece.

    Raises
    ------
    DraftNotFound
        If there is none.
    CollectionUnreadable
        If its file is damaged.
    """
    path = folder_of(place, token) / _DRAFT_FILE
    try:
        draft = Draft.model_validate_json(path.read_bytes())
    except FileNotFoundError as err:
        raise _not_found() from err
    except (OSError, ValidationError) as err:
        raise CollectionUnreadable(
            f"The list of these photos cannot be read ({path}).",
            "The photos themselves lie beside it, in \"photos\": copy them from there and send them anew.",
        ) from err
    if draft.piece_id != piece_id or draft.token != token:
        raise _not_found()
    return draft


def drafts_of(place: CollectionPlace, piece_id: str) -> tuple[Draft, ...]:
    """Drafts of a piece, the newest first; damaged ones are left out."""
    drafts = place.own / 'drafts'
    found = []
    for entry in drafts.iterdir() if drafts.is_dir() else ():
        try:
            found.append(read_draft(place, piece_id, entry.name))
        except (DraftNotFound, CollectionUnreadable):
            continue
    return tuple(sorted(found, key=lambda one: (one.begun_at, one.token), reverse=True))


def waiting_drafts(place: CollectionPlace, piece_id: str) -> tuple[Draft, ...]:
    """Drafts of a piece that hold photos."""
    return tuple(draft for draft in drafts_of(place, piece_id) if draft.photos)


def change_draft(place: CollectionPlace, piece_id: str, token: str, change: Callable[[Draft], Draft]) -> Draft:
    """Change a draft, one change after another; return it as it is now.

    `change` may do what belongs to it, such as putting a photo in its place: the draft is held meanwhile.

    Raises
    ------
    DraftNotFound
        If there is none.
    OutputNotWritable
        If the disk is full.
    """
    with _drafts_locked(place):
        before = read_draft(place, piece_id, token)
        draft = change(before)
        if draft != before:
            _write(folder_of(place, token), draft)
        return draft


def discard_draft(place: CollectionPlace, piece_id: str, token: str) -> None:
    """Take a draft away with its photos.

    Raises
    ------
    DraftNotFound
        If there is none.
    """
    with _drafts_locked(place) as drafts:
        read_draft(place, piece_id, token)
        gone = drafts / f'{_GONE}{token}'
        (drafts / token).rename(gone)
        settle_folder(drafts)
    shutil.rmtree(gone, ignore_errors=True)


@contextmanager
def _drafts_locked(place: CollectionPlace) -> Iterator[Path]:
    """Have all drafts for oneself; for moments only."""
    drafts = place.own / 'drafts'
    with words_for_disk_faults(drafts):
        drafts.mkdir(parents=True, exist_ok=True)
        try:
            with FileLock(place.own / 'drafts-lock', timeout=LOCK_WAIT_S):
                yield drafts
        except Timeout:
            raise CollectionBusy(
                "Another program is busy with the photos that wait.", "Try again in a moment. Nothing was lost."
            ) from None


def _write(folder: Path, draft: Draft) -> None:
    work = folder / f'.{_DRAFT_FILE}-{secrets.token_hex(4)}'
    try:
        write_durably(work, draft.to_json().encode())
        os.replace(work, folder / _DRAFT_FILE)
    finally:
        work.unlink(missing_ok=True)
    settle_folder(folder)


def _sweep(drafts: Path) -> None:
    """Take away what a stopped program left half made, or half taken away; under the lock."""
    for entry in drafts.iterdir():
        if entry.name.startswith((_GONE, _COMING)):
            shutil.rmtree(entry, ignore_errors=True)


def _not_found() -> DraftNotFound:
    return DraftNotFound(
        "These photos do not wait any more: they were examined, or discarded.",
        "Go to the piece: its examinations are listed there.",
    )
