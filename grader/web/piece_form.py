"""The form of a piece: its fields as texts, and back."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from grader.collection.money import Money, money_from
from grader.collection.piece import HEADINGS, MONEY_FIELDS, OWNER_FIELDS, Piece, faults_of

_ANY_ID = 'aaaaaaaa'
"""Stands in for the id while fields are checked."""
_MONEY_NOTE = "Amount and currency, such as 85.50 GBP."
_DATE_NOTE = "As you know it: 1968, about 1850, 2004-11-30."


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of the form."""

    name: str
    heading: str
    note: str
    is_long: bool
    """Whether it takes several lines."""
    is_wide: bool
    """Whether it takes the form's whole width."""


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Fields under one heading."""

    heading: str
    note: str
    fields: tuple[FormField, ...]


@dataclass(frozen=True, slots=True)
class Filled:
    """What a filled-in form says."""

    values: dict[str, str]
    """Texts as they were typed, for each field."""
    fields: dict[str, Any]
    """Fields of a piece; only if there are no faults."""
    faults: dict[str, str]
    """What is wrong, by field."""

    @property
    def is_empty(self) -> bool:
        """Whether nothing is said."""
        return not any(text.strip() for text in self.values.values())


_LONG = ('inscriptions_and_markings', 'distinguishing_features', 'description', 'related_written_material', 'notes')
_WIDE = ('title', 'measurements', 'subject', 'place_kept')
_NOTES = {
    'title': "What you call it.",
    'type_of_object': "Such as paperweight.",
    'date_or_period': _DATE_NOTE,
    'measurements': "As you measured it; an examination measures anew.",
    'inscriptions_and_markings': "Signature, label, date cane, and where they are.",
    'distinguishing_features': "What tells this piece from its like: a cane that stands aslant, an old chip.",
    'price': _MONEY_NOTE,
    'value': f"{_MONEY_NOTE} The insurer's schedule adds these up.",
}


def _group(heading: str, note: str, first: str, last: str) -> FieldGroup:
    names = OWNER_FIELDS[OWNER_FIELDS.index(first) : OWNER_FIELDS.index(last) + 1]
    return FieldGroup(
        heading,
        note,
        tuple(
            FormField(name, HEADINGS[name], _NOTES.get(name, ""), name in _LONG, name in (*_LONG, *_WIDE))
            for name in names
        ),
    )


GROUPS = (
    _group("The piece", "What Object ID asks for, so that it can be told from any other.", 'title', 'description'),
    _group("More on it", "Helpful to have, none of it needed.", 'inventory_number', 'date_documented'),
    _group("Yours alone", "These stay in your collection; a condition report holds none of them.", 'bought_from',
           'notes'),
)  # fmt: skip


def texts_of(piece: Piece) -> dict[str, str]:
    """Text of each field, as it stands in the form."""
    return {name: text_of(getattr(piece, name)) for name in OWNER_FIELDS}


def text_of(value: str | Money | None) -> str:
    """Text of one field."""
    if value is None:
        return ""
    return f"{value.amount:f} {value.currency}" if isinstance(value, Money) else value


def filled(form: Mapping[str, Any]) -> Filled:
    """What a filled-in form says; fields that it lacks count as empty, and others are left aside."""
    values = {name: _typed(form.get(name, '')) for name in OWNER_FIELDS}
    faults: dict[str, str] = {}
    fields: dict[str, Any] = {}
    for name, text in values.items():
        fields[name] = _money(name, text, faults) if name in MONEY_FIELDS else text
    try:
        Piece.model_validate({'id': _ANY_ID, **fields})
    except ValidationError as err:
        for words in faults_of(err):
            name, _, fault = words.partition(': ')
            faults.setdefault(name.partition('.')[0], _sentence(fault))
    return Filled(values, {} if faults else fields, faults)


def state_of(piece_json: bytes) -> str:
    """What tells one state of a piece's file from all others."""
    return hashlib.sha256(piece_json).hexdigest()


def _typed(value: Any) -> str:
    """Text as it was typed; browsers end lines by CR LF, and a file that is sent as a field is none."""
    return value.replace('\r\n', '\n') if isinstance(value, str) else ''


def _money(name: str, text: str, faults: dict[str, str]) -> Money | None:
    try:
        return money_from(text) if text.strip() else None
    except ValueError as err:
        words = err.errors()[0]['msg'].removeprefix('Value error, ') if isinstance(err, ValidationError) else str(err)
        faults[name] = _sentence(words)
        return None


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."
