"""What a review makes of a record: marks and grade as the person sees them. It follows from record and log alone."""

from collections.abc import Sequence

from grader.grade.grade import Grade, grade_piece
from grader.grade.rules import load_rules
from grader.marks.mark import Mark
from grader.record import GradingRecord, MarkFacts
from grader.record_build import grade_facts
from grader.review.drawing_ground import measured_of
from grader.review.log import acts_of_marks
from grader.review.mark_of_facts import mark_of_facts, worded
from grader.review.mark_states import MarkState, facts_of_state, mark_states, piece_px_in
from grader.review.review import Entry, Review, ReviewedMark, ReviewedRecord
from grader.review.wording import change_sentences


def new_review(record: GradingRecord, record_name: str, record_sha256: str) -> Review:
    """Review in which nothing is said yet."""
    return Review(record=record_name, record_sha256=record_sha256, entries=(), result=apply_entries(record, ()))


def with_entries(review: Review, record: GradingRecord, entries: Sequence[Entry]) -> Review:
    """Review with this log, and what follows from it."""
    return Review(
        record=review.record,
        record_sha256=review.record_sha256,
        entries=tuple(entries),
        result=apply_entries(record, entries),
    )


def apply_review(record: GradingRecord, review: Review) -> ReviewedRecord:
    """What the review makes of the record, worked out anew from its log."""
    return apply_entries(record, review.entries)


def apply_entries(record: GradingRecord, entries: Sequence[Entry]) -> ReviewedRecord:
    """What a log makes of a record.

    A mark that she confirms counts as surely there, one that she rejects not at all, any other as the program found
    it. Where nothing was said the grade is that of the record; else it is worked out by the same rules from the
    numbers that the record holds.
    """
    states = mark_states(record, entries)
    facts = [facts_of_state(state, record) for state in states]
    marks = [mark_of_facts(one, _confidence(state)) for one, state in zip(facts, states, strict=True)]
    if acts_of_marks(entries):
        grade = regrade(record, marks)
        reviewed_grade, costs = grade_facts(grade), grade.mark_costs
    else:
        reviewed_grade, costs = record.grade, tuple(mark.cost_points for mark in record.marks)
    reviewed = tuple(_reviewed(state, one, cost, record) for state, one, cost in zip(states, facts, costs, strict=True))
    return ReviewedRecord(
        marks=reviewed,
        grade=reviewed_grade,
        found_grade=record.grade,
        is_changed=reviewed_grade != record.grade,
        changes=change_sentences(record, reviewed, reviewed_grade),
    )


def regrade(record: GradingRecord, marks: Sequence[Mark]) -> Grade:
    """Grade of some marks on the record's piece, by the version of the rules that the record names.

    Raises
    ------
    SettingsInvalid
        If this program does not have those rules.
    """
    width = record.measurements.diameter_max_mm
    return grade_piece(
        marks,
        None if width is None else measured_of(width),
        record.measurements.diameter_max_px,
        record.unseen_ratio,
        load_rules(record.grade.rules_version),
        [flag.name for flag in record.flags],
    )


def _confidence(state: MarkState) -> float:
    if state.verdict == 'not there':
        return 0.0
    return 1.0 if state.verdict == 'there' or state.found is None else state.found.confidence


def _reviewed(state: MarkState, facts: MarkFacts, cost_points: float, record: GradingRecord) -> ReviewedMark:
    found, last = state.found, state.last
    if found is None or last is not None:
        piece_px = piece_px_in(record, facts.photo)
        facts = worded(facts, _confidence(state), state.status, cost_points, piece_px)
    else:
        facts = facts.model_copy(update={'cost_points': round(cost_points, 2)})
    return ReviewedMark(
        number=state.number,
        status=state.status,
        mark=facts,
        found_kind=None if found is None else found.kind,
        found_confidence=None if found is None else found.confidence,
        found_cost_points=None if found is None else found.cost_points,
        by='' if last is None else last.initials,
        reason='' if last is None else last.reason,
    )
