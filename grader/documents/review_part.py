"""What a person says of the marks: beside the program's findings, with both grades."""

import math
from dataclasses import dataclass

from grader.documents.blocks import Block, Column, Heading, Points, Table, Words
from grader.documents.shared_parts import time_words
from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.record import GradeFacts, MarkFacts
from grader.report.review_table import act_words
from grader.review.log import living
from grader.review.review import Review, ReviewedMark, ReviewedRecord

_MARK_COLUMNS = (
    Column("No.", 0.06),
    Column("Mark, as reviewed", 0.2),
    Column("Where", 0.22),
    Column("The program found", 0.2),
    Column("The person says", 0.32),
)
_LOG_COLUMNS = (
    Column("Entry", 0.07),
    Column("What", 0.27),
    Column("By", 0.08),
    Column("When", 0.24),
    Column("Why", 0.34),
)


@dataclass(frozen=True, slots=True)
class ReviewAtHand:
    """A review and what it makes of the record."""

    review: Review
    result: ReviewedRecord
    sha256: str
    """Of the review's file."""


def score_by_review(at_hand: ReviewAtHand) -> tuple[tuple[str, str], ...]:
    """Return the rows of both scores for the top of a report."""
    who = ", ".join(dict.fromkeys(entry.initials for entry in living(at_hand.review.entries)))
    return (
        (f"Score, reviewed by {who}", _grade_words(at_hand.result.grade)),
        ("Score, as found", _grade_words(at_hand.result.found_grade)),
    )


def added_marks(at_hand: ReviewAtHand | None) -> tuple[MarkFacts, ...]:
    """Return the marks that the person added, to be shown with those that were found."""
    if at_hand is None:
        return ()
    return tuple(one.mark for one in at_hand.result.marks if one.status == 'added')


def review_part(at_hand: ReviewAtHand | None) -> tuple[Block, ...]:
    """Return the review: both grades, each mark that was spoken of, and the log."""
    if at_hand is None:
        return ()
    result, entries = at_hand.result, at_hand.review.entries
    spoken = tuple(_mark_row(one) for one in result.marks if one.status != 'not reviewed')
    alive = {entry.number for entry in living(entries)}
    log = tuple(
        (
            str(entry.number),
            act_words(entry.act, entry.mark) + ("" if entry.number in alive else " (undone)"),
            entry.initials,
            time_words(entry.at) + (" by the computer's clock" if entry.clock == 'computer' else ""),
            entry.reason,
        )
        for entry in entries
    )
    return (
        Heading("What a person says of the marks"),
        Words(f"As reviewed: {_grade_words(result.grade)}. As found: {_grade_words(result.found_grade)}.", 'lead'),
        Points(result.changes),
        *((Table(_MARK_COLUMNS, spoken),) if spoken else ()),
        Heading("The review, entry by entry", 2),
        Table(_LOG_COLUMNS, log),
        Words("The finding of the program stays as it is, in the tables and pictures above.", 'note'),
    )


def _grade_words(grade: GradeFacts) -> str:
    low, high = grade.interval
    return f"{grade.headline}, {grade.score:.0f} of 100, between {math.floor(low)} and {math.ceil(high)}"


def _mark_row(one: ReviewedMark) -> tuple[str, ...]:
    mark = one.mark
    found = "nothing"
    if one.found_kind is not None and one.found_confidence is not None:
        found = f"{KIND_WORDS[MarkKind(one.found_kind)]} ({percent_words(one.found_confidence)})"
    says = f"{one.status} by {one.by}: {one.reason}"
    return str(one.number), f"{KIND_WORDS[MarkKind(mark.kind)]}, {mark.size_words}", mark.place_words, found, says
