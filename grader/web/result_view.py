"""What the page of an examination shows, from record and review: plain values in words."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from grader.documents.shared_parts import time_words
from grader.record import GradeFacts
from grader.report.review_table import act_words
from grader.review.acts import Undo
from grader.review.log import living
from grader.review.review import Entry, Review
from grader.web.result_marks import MarkView, mark_views
from grader.web.stored_result import StoredResult

SEALED_WORDS = (
    "This examination is sealed, so nothing in it can be changed, and no mark can be judged here. To judge its marks, "
    "examine the photos again and store that examination unsealed."
)


@dataclass(frozen=True, slots=True)
class GradeView:
    """A grade in words."""

    headline: str
    score: str
    score_range: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EntryView:
    """One entry of the review's log."""

    number: int
    words: str
    by: str
    when: str
    reason: str
    counts: bool
    """Whether no later entry took it back."""
    can_undo: bool
    """Whether it may be taken back by itself."""


@dataclass(frozen=True, slots=True)
class ReviewState:
    """All that a review changes on the page."""

    entries: int
    """Length of the log; an act says on which it is based."""
    sealed: str
    """Why nothing can be noted; '' where it can."""
    grade: GradeView
    """By the person's word."""
    found_grade: GradeView
    """By the program alone."""
    is_reviewed: bool
    is_changed: bool
    changes: tuple[str, ...]
    marks: tuple[MarkView, ...]
    log: tuple[EntryView, ...]
    undo_words: str
    """What "undo" would take back; '' where there is nothing."""


def review_state(result: StoredResult, review: Review) -> ReviewState:
    """State of a review."""
    entries, reviewed = review.entries, review.result
    log = _log(entries)
    last = next((one for one in reversed(log) if one.counts and one.can_undo), None)
    return ReviewState(
        entries=len(entries),
        sealed=SEALED_WORDS if result.is_sealed else "",
        grade=grade_view(reviewed.grade),
        found_grade=grade_view(reviewed.found_grade),
        is_reviewed=any(one.status != 'not reviewed' for one in reviewed.marks),
        is_changed=reviewed.is_changed,
        changes=reviewed.changes,
        marks=mark_views(result.at_hand.record, reviewed.marks),
        log=log,
        undo_words="" if last is None else last.words,
    )


def grade_view(grade: GradeFacts) -> GradeView:
    """A grade in words; the range is rounded outwards, so that it is not told narrower than it is."""
    low, high = grade.interval
    return GradeView(
        grade.headline,
        f"{grade.score:.0f}",
        f"between {math.floor(low)} and {math.ceil(high)}",
        grade.reasons,
    )


def _log(entries: Sequence[Entry]) -> tuple[EntryView, ...]:
    """Entries in their order."""
    alive = {entry.number for entry in living(entries)}
    return tuple(_entry_view(entry, counts=entry.number in alive) for entry in entries)


def _entry_view(entry: Entry, *, counts: bool) -> EntryView:
    return EntryView(
        number=entry.number,
        words=act_words(entry.act, entry.mark),
        by=entry.initials,
        when=time_words(entry.at) + (" by the computer's clock" if entry.clock == 'computer' else ""),
        reason=entry.reason,
        counts=counts,
        can_undo=counts and not isinstance(entry.act, Undo),
    )
