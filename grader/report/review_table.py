"""The review of a record, as the owner reads it on the screen."""

import math
from collections.abc import Sequence
from textwrap import wrap

from grader.grade.words import percent_words
from grader.record import GradeFacts
from grader.report.columns import columns
from grader.report.constants import SCREEN_WIDTH
from grader.review.acts import Act, AddMark, Redraw, Relabel, Undo
from grader.review.log import living
from grader.review.review import Entry, Review, ReviewedMark, ReviewedRecord

_VERBS = {'confirm': "confirmed", 'reject': "rejected", 'redraw': "drawn anew"}
_CLOCK_NOTE = "* by this computer's clock, which proves no date; --when states a time."


def format_review(review: Review, result: ReviewedRecord) -> str:
    """Short text of a review: both grades, the marks that it speaks of, what it changed, and the log.

    Parameters
    ----------
    review
        The log.
    result
        What it makes of the record.
    """
    title = f"Review of {review.record}"
    if not review.entries:
        return '\n'.join([title, '-' * len(title), "Nothing is reviewed yet.", '', *_mark_lines(result.marks)]) + '\n'
    lines = [title, '-' * len(title)]
    if result.is_changed:
        lines += [f"As reviewed   {_grade_words(result.grade)}", f"As found      {_grade_words(result.found_grade)}"]
    else:
        lines += [f"Condition     {_grade_words(result.grade)}; the same as found"]
    lines += ['', *_mark_lines(result.marks), '', "What the review changed:"]
    lines += [line for sentence in result.changes for line in _bullet(sentence)]
    return '\n'.join([*lines, '', *_log_lines(review.entries)]) + '\n'


def _grade_words(grade: GradeFacts) -> str:
    low, high = grade.interval
    return f"{grade.headline}; score {grade.score:.1f} of 100, between {math.floor(low)} and {math.ceil(high)}"


def _mark_lines(marks: Sequence[ReviewedMark]) -> list[str]:
    """All marks, the unlikely ones too: she may know better."""
    if not marks:
        return ["No mark was found, and none is added."]
    rows = [("No.", "Mark", "Size", "Where", "Found", "Review")]
    return columns([*rows, *(_mark_row(mark) for mark in marks)])


def _mark_row(one: ReviewedMark) -> tuple[str, ...]:
    found = "not found"
    if one.found_confidence is not None:
        found = f"{one.found_kind} ({percent_words(one.found_confidence)})"
    said = f"{one.status} by {one.by}" if one.by else one.status
    return str(one.number), one.mark.kind, one.mark.size_words, one.mark.place_words, found, said


def _log_lines(entries: Sequence[Entry]) -> list[str]:
    alive = {entry.number for entry in living(entries)}
    rows = [("Entry", "What", "By", "When", "Why")]
    rows += [
        (
            str(entry.number),
            act_words(entry.act, entry.mark) + ("" if entry.number in alive else " (undone)"),
            entry.initials,
            entry.at + ("*" if entry.clock == 'computer' else ""),
            entry.reason,
        )
        for entry in entries
    ]
    by_clock = any(entry.clock == 'computer' for entry in entries)
    return [*columns(rows), *([_CLOCK_NOTE] if by_clock else [])]


def act_words(act: Act, mark: int | None) -> str:
    """Return what an act says, such as "mark 3 is a chip"."""
    if isinstance(act, Undo):
        return f"entry {act.entry} undone"
    if isinstance(act, AddMark):
        return f"mark {mark} added, a {act.kind}"
    if isinstance(act, Relabel):
        return f"mark {mark} is a {act.kind}"
    if isinstance(act, Redraw):
        return f"mark {mark} {_VERBS['redraw']}"
    return f"mark {mark} {_VERBS[act.action]}"


def _bullet(sentence: str) -> list[str]:
    return wrap(sentence, SCREEN_WIDTH, initial_indent="- ", subsequent_indent="  ")
