"""Two people, or two tabs, changed one piece: what each says, field by field."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from grader.collection.piece import HEADINGS, OWNER_FIELDS, Piece, piece_from_json
from grader.collection.piece_folder import EARLIER_FOLDER, StoredPiece
from grader.errors import CollectionUnreadable
from grader.web.piece_form import state_of, texts_of

CHOICE = 'choice-'
"""Start of the name of a choice's field."""
MINE, PRESENT = 'mine', 'present'


@dataclass(frozen=True, slots=True)
class FieldConflict:
    """A field that the form and the present piece fill differently."""

    name: str
    heading: str
    mine: str
    """As the form has it."""
    present: str
    """As the piece has it now."""
    chosen: str
    """Which is taken unless the person says otherwise."""
    words: str
    """Who changed it, where that can be told."""


def conflicts(mine: Mapping[str, str], present: Piece, seen: Piece | None) -> tuple[FieldConflict, ...]:
    """Fields that differ.

    Parameters
    ----------
    mine
        Texts of the form.
    present
        The piece as it is now.
    seen
        The piece as it was when the form was shown; None where that version is not kept.
    """
    now, then = texts_of(present), None if seen is None else texts_of(seen)
    return tuple(
        _conflict(name, mine[name], now[name], None if then is None else then[name])
        for name in OWNER_FIELDS
        if not is_same(mine[name], now[name])
    )


def version_seen(stored: StoredPiece, was: str) -> Piece | None:
    """Earlier version of a piece, by what tells its state; None where it is not kept."""
    paths = sorted((stored.folder / EARLIER_FOLDER).glob('piece-*.json'), reverse=True)
    for path in paths:
        try:
            data = path.read_bytes()
            if state_of(data) == was:
                return piece_from_json(data.decode('utf-8'), path.name)
        except (OSError, UnicodeDecodeError, CollectionUnreadable):
            continue
    return None


def chosen_values(form: Mapping[str, Any], values: Mapping[str, str], present: Piece) -> dict[str, str]:
    """Texts of the form, with the present ones where those were chosen."""
    now = texts_of(present)
    return {name: now[name] if form.get(CHOICE + name) == PRESENT else text for name, text in values.items()}


def is_same(one: str, other: str) -> bool:
    """Whether two texts of a field mean the same."""
    return one.strip() == other.strip()


def _conflict(name: str, mine: str, present: str, seen: str | None) -> FieldConflict:
    chosen, words = MINE, ""
    if seen is not None and is_same(mine, seen):
        chosen, words = PRESENT, "Changed meanwhile; you left it as it was."
    elif seen is not None and is_same(present, seen):
        words = "Changed by you."
    elif seen is not None:
        words = "Changed by you, and meanwhile elsewhere too."
    return FieldConflict(name, HEADINGS[name], mine, present, chosen, words)
