"""What living entries make of each mark."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from grader.record import GradingRecord, MarkFacts
from grader.review.acts import AddMark, Kind, Redraw, Reject, Relabel
from grader.review.drawing_ground import findings_in
from grader.review.log import acts_of_marks
from grader.review.mark_of_facts import blank_mark, of_kind, with_drawing
from grader.review.review import DrawnFacts, Entry


@dataclass(frozen=True, slots=True)
class MarkState:
    """One mark after some entries."""

    number: int
    """Number of the mark."""
    found: MarkFacts | None
    """The finding of the record; None for an added mark."""
    verdict: Literal['open', 'there', 'not there'] = 'open'
    """What the person says last of whether it is there."""
    kind: Kind | None = None
    """Kind that she names; None where she names none."""
    drawn: DrawnFacts | None = None
    """Her last drawing of it; None where there is none."""
    last: Entry | None = None
    """The last entry that speaks of it; None where none does."""

    @property
    def status(self) -> Literal['not reviewed', 'confirmed', 'rejected', 'added']:
        """Where it stands."""
        if self.verdict == 'open':
            return 'not reviewed'
        if self.verdict == 'not there':
            return 'rejected'
        return 'confirmed' if self.found is not None else 'added'


def mark_states(record: GradingRecord, entries: Sequence[Entry]) -> tuple[MarkState, ...]:
    """All marks by number, the record's and the added ones, as the living entries leave them."""
    states = {mark.number: MarkState(mark.number, mark) for mark in record.marks}
    for entry in acts_of_marks(entries):
        if entry.mark is None:
            continue
        before = states.get(entry.mark, MarkState(entry.mark, None))
        states[entry.mark] = replace(_after(before, entry), last=entry)
    return tuple(states[number] for number in sorted(states))


def facts_of_state(state: MarkState, record: GradingRecord) -> MarkFacts:
    """The mark as it stands: kind, outline, sizes and place; sureness, cost and words are those of the finding."""
    if state.found is not None:
        facts = state.found if state.kind is None else of_kind(state.found, state.kind)
    elif state.kind is not None:
        facts = blank_mark(state.number, state.kind)
    else:
        raise ValueError(f'mark {state.number} was added without a kind')
    if state.drawn is not None:
        facts = with_drawing(facts, state.drawn, record.photo_set is not None, piece_px_in(record, state.drawn.photo))
    return facts


def piece_px_in(record: GradingRecord, photo: str | None) -> float:
    """Largest width of the piece in one photo, px; None stands for the main photo."""
    findings = record if photo is None else findings_in(record, photo)
    return findings.measurements.diameter_max_px


def _after(state: MarkState, entry: Entry) -> MarkState:
    act = entry.act
    if isinstance(act, Reject):
        return replace(state, verdict='not there')
    there = replace(state, verdict='there')
    if isinstance(act, Relabel):
        return replace(there, kind=act.kind)
    if isinstance(act, Redraw):
        return replace(there, drawn=entry.drawn)
    if isinstance(act, AddMark):
        return replace(there, kind=act.kind, drawn=entry.drawn)
    return there
