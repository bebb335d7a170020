"""Changes to pieces that a form asks for: each under the lock, and only on the state that the form was shown with."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from grader.collection.index import Index, index_for_changing
from grader.collection.piece import PIECE_FILE, Piece
from grader.collection.piece_folder import StoredPiece, read_piece
from grader.collection.place import CollectionPlace
from grader.collection.store import add_piece, edit_piece, remove_piece
from grader.errors import PieceNotFound
from grader.web.desk import PURPOSE
from grader.web.piece_conflict import CHOICE, FieldConflict, chosen_values, conflicts, version_seen
from grader.web.piece_form import Filled, filled, state_of


@dataclass(frozen=True, slots=True)
class Shown:
    """A piece, and what tells the state in which it is shown."""

    stored: StoredPiece
    was: str


@dataclass(frozen=True, slots=True)
class Edited:
    """The edit was made."""

    piece: Piece


@dataclass(frozen=True, slots=True)
class Faulty:
    """The form has faults; nothing was changed."""

    form: Filled


@dataclass(frozen=True, slots=True)
class Conflict:
    """The piece is not what the form was shown with; nothing was changed."""

    shown: Shown
    """The piece as it is now."""
    form: Filled
    fields: tuple[FieldConflict, ...]


def shown_piece(stored: StoredPiece) -> Shown:
    """A piece with its state: piece and state are of the same bytes, or the state fits nothing."""
    was = state_of((stored.folder / PIECE_FILE).read_bytes())
    again = read_piece(stored.folder)
    return Shown(again, was if state_of((stored.folder / PIECE_FILE).read_bytes()) == was else '')


def add_from_form(place: CollectionPlace, form: Filled) -> Piece:
    """Add the piece that a form without faults describes."""
    with index_for_changing(place, PURPOSE) as index:
        return add_piece(place, index, form.fields, []).piece


def edit_from_form(place: CollectionPlace, piece_id: str, sent: Mapping[str, Any]) -> Edited | Faulty | Conflict:
    """Edit a piece as a form says that was shown with its state ``was``.

    Raises
    ------
    PieceNotFound
        If it is no longer there.
    """
    with index_for_changing(place, PURPOSE) as index:
        shown = shown_piece(read_piece(place.pieces / folder_of(index, piece_id)))
        form = filled(sent)
        if sent.get('was') != shown.was:
            differing = conflicts(form.values, shown.stored.piece, version_seen(shown.stored, str(sent.get('was'))))
            if differing:
                return Conflict(shown, form, differing)
        elif any(name.startswith(CHOICE) for name in sent):
            form = filled(chosen_values(sent, form.values, shown.stored.piece))
        if form.faults:
            return Faulty(form)
        return Edited(edit_piece(place, shown.stored, form.fields, []).piece)


def remove_by_id(place: CollectionPlace, piece_id: str, now: datetime) -> Path:
    """Move a piece into the trash; return where it lies there."""
    with index_for_changing(place, PURPOSE) as index:
        return remove_piece(place, place.pieces / folder_of(index, piece_id), now)


def folder_of(index: Index, piece_id: str) -> str:
    """Folder of the one piece of an id.

    Raises
    ------
    PieceNotFound
        If there is none, or several.
    """
    folders = index.folders_where('id', piece_id)
    if len(folders) != 1:
        raise PieceNotFound(
            "There is no piece at this address." if not folders else "Several folders have this piece's id.",
            "Go to the collection: it may have been removed, or its folder copied.",
        )
    return folders[0]
