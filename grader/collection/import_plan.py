"""What an import would change, and making it true.

A row belongs to the piece with its id; without an id, to the one piece with its inventory number; else to a new piece.
Empty cells change nothing. What is replaced stays in the piece's folder ``earlier``.
"""

import secrets
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from grader.collection.change import change_of
from grader.collection.folder_name import new_id
from grader.collection.import_faults import Candidate, Faults
from grader.collection.piece import HEADINGS, OWNER_FIELDS, Piece, faults_of
from grader.collection.piece_folder import StoredPiece
from grader.collection.place import CollectionPlace
from grader.collection.store import put_changed_piece, put_new_piece


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A field that an import replaces or fills."""

    heading: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class PieceChange:
    """A piece that an import changes."""

    stored: StoredPiece
    after: Piece

    def fields(self) -> tuple[FieldChange, ...]:
        """What changes."""
        pairs = ((name, getattr(self.stored.piece, name), getattr(self.after, name)) for name in OWNER_FIELDS)
        return tuple(
            FieldChange(HEADINGS[name], _words(before), _words(after))
            for name, before, after in pairs
            if before != after
        )


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """What an import would do."""

    new: tuple[Piece, ...]
    changed: tuple[PieceChange, ...]
    n_same: int
    """Rows that say what is there already."""
    n_photos_left: int
    """Photos that the file names; only their names are in it, so they are not imported."""


def plan_import(candidates: Sequence[Candidate], stored: Iterable[StoredPiece]) -> tuple[ImportPlan, Faults]:
    """Plan of an import, and all faults of its rows; a plan with faults must not be made true."""
    known = _Known.of(stored)
    lines_of: dict[str, int] = {}
    taken = set(known.by_id)
    faults: list[tuple[int, str]] = []
    new: list[Piece] = []
    changed: list[PieceChange] = []
    n_same = 0
    for candidate in candidates:
        target = _target(candidate, known, faults)
        piece = _checked(candidate, target, {*lines_of, *known.by_id}, faults)
        if piece is None:
            continue
        if piece.id in lines_of:
            faults.append((candidate.line, f"line {lines_of[piece.id]} is of the same piece ({piece.id})"))
            continue
        lines_of[piece.id] = candidate.line
        taken.add(piece.id)
        if target is not None and target.piece != piece:
            changed.append(PieceChange(target, piece))
        elif target is not None or ('id' not in candidate.fields and _contents(piece) in known.contents):
            n_same += 1
        else:
            new.append(piece)
    n_photos = sum(len(one.fields['photos']) for one in candidates if isinstance(one.fields.get('photos'), list))
    return ImportPlan(tuple(new), tuple(changed), n_same, n_photos), tuple(faults)


def carry_out(place: CollectionPlace, plan: ImportPlan) -> None:
    """Make a plan true, all of it or nothing; to be called under the lock."""
    if not plan.new and not plan.changed:
        return
    with change_of(place) as change:
        for piece in plan.new:
            put_new_piece(change, place, piece)
        for one in plan.changed:
            put_changed_piece(change, one.stored, one.after)


@dataclass(frozen=True, slots=True)
class _Known:
    """Pieces of the collection, by what a row may name."""

    by_id: Mapping[str, StoredPiece]
    by_number: Mapping[str, Sequence[StoredPiece]]
    contents: frozenset[str]
    """What each says, without its id: a row without id and number that says the same is no new piece."""

    @staticmethod
    def of(stored: Iterable[StoredPiece]) -> '_Known':
        by_id, by_number = {}, defaultdict(list)
        for one in stored:
            by_id[one.piece.id] = one
            if one.piece.inventory_number:
                by_number[one.piece.inventory_number].append(one)
        return _Known(by_id, by_number, frozenset(_contents(one.piece) for one in by_id.values()))


def _target(candidate: Candidate, known: _Known, faults: list[tuple[int, str]]) -> StoredPiece | None:
    """Piece that a row is of, or None for a new one."""
    one_id, number = candidate.fields.get('id'), candidate.fields.get('inventory_number')
    if isinstance(one_id, str):
        return known.by_id.get(one_id)
    if not isinstance(number, str):
        return None
    found = known.by_number.get(number.strip(), ())
    if len(found) > 1:
        faults.append((candidate.line, f"{len(found)} pieces have the inventory number {number}: give the id"))
    return found[0] if len(found) == 1 else None


def _checked(
    candidate: Candidate, target: StoredPiece | None, taken: Container[str], faults: list[tuple[int, str]]
) -> Piece | None:
    """Piece as it would be, or None with the faults noted."""
    fields: dict[str, Any] = {name: value for name, value in candidate.fields.items() if name != 'photos'}
    if target is not None:
        fields = {**dict(target.piece), **fields, 'id': target.piece.id}
    elif 'id' not in fields:
        fields['id'] = new_id(taken, secrets.choice)
    try:
        return Piece.model_validate(fields)
    except ValidationError as err:
        faults += [(candidate.line, words) for words in faults_of(err)]
        return None


def _contents(piece: Piece) -> str:
    return piece.model_copy(update={'id': '', 'photos': ()}).to_json()


def _words(value: Any) -> str:
    return "" if value is None else str(value)
