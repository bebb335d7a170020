"""The short table of a record, as the owner reads it on the screen."""

import math
from collections.abc import Sequence
from itertools import groupby
from textwrap import wrap

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.words import percent_words
from grader.record import Findings, GradingRecord, MarkFacts

_WIDTH = 96
_LABEL_WIDTH = 20


def format_table(record: GradingRecord) -> str:
    """Short table of a record: grade, size, marks, what could not be seen, and every reason for doubt in words."""
    blocks = [_findings_block(record, is_only=not record.other_findings)]
    blocks += [_other_block(findings) for findings in record.other_findings]
    return '\n\n'.join(blocks) + '\n'


def _findings_block(findings: Findings, *, is_only: bool) -> str:
    title = (
        findings.photo if is_only else f"{findings.photo} (main photo: its size, marks and grade stand for the piece)"
    )
    lines = [title, '-' * min(len(title), _WIDTH)]
    lines += _row("Condition", _grade_words(findings))
    lines += _size_rows(findings)
    lines += _row("Could not be seen", _unseen_words(findings))
    lines += ['', *_mark_lines(reported_marks(findings))]
    lines += ['', *_bullets("Why this grade", findings.grade.reasons)]
    notes = [flag.text for flag in findings.flags]
    if notes:
        lines += ['', *_bullets("Please note", notes)]
    return '\n'.join(lines)


def _other_block(findings: Findings) -> str:
    n_marks = len(reported_marks(findings))
    title = f"{findings.photo} (examined by itself, not part of the grade above)"
    return '\n'.join([title, *_row("Condition", _grade_words(findings)), *_row("Marks", f"{n_marks}")])


def reported_marks(findings: Findings) -> tuple[MarkFacts, ...]:
    """Marks that are more likely than not; the record holds the doubtful ones too."""
    return tuple(mark for mark in findings.marks if mark.confidence >= REPORTED_CONFIDENCE)


def _grade_words(findings: Findings) -> str:
    grade = findings.grade
    low, high = grade.interval
    # Rounded outwards, so that the range is not told narrower than it is.
    return f"{grade.headline}; score {grade.score:.0f} of 100, between {math.floor(low)} and {math.ceil(high)}"


def _size_rows(findings: Findings) -> list[str]:
    sizes = findings.measurements
    if sizes.diameter_max_mm is None or sizes.diameter_min_mm is None:
        return _row(
            "Width", f"{sizes.diameter_max_px:.0f} x {sizes.diameter_min_px:.0f} px; no millimetres without a card"
        )
    return [
        *_row("Largest width", sizes.diameter_max_mm.text),
        *_row("Smallest width", sizes.diameter_min_mm.text),
    ]


def _unseen_words(findings: Findings) -> str:
    if not findings.unseen:
        return "nothing of this side"
    ordered = sorted(findings.unseen, key=lambda area: area.reason)
    sums = {
        reason: sum(area.area_ratio for area in areas)
        for reason, areas in groupby(ordered, key=lambda area: area.reason)
    }
    parts = ', '.join(f"{reason} {percent_words(ratio)}" for reason, ratio in sums.items())
    return f"{percent_words(findings.unseen_ratio)} of the piece ({parts})"


def _mark_lines(marks: Sequence[MarkFacts]) -> list[str]:
    if not marks:
        return ["No mark was found."]
    rows = [("No.", "Mark", "Size", "Where", "How sure")]
    rows += [
        (
            str(mark.number),
            mark.kind,
            mark.size_words,
            mark.place_words,
            f"{mark.confidence_words} ({percent_words(mark.confidence)})",
        )
        for mark in marks
    ]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return ['  '.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def _row(label: str, words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent=label.ljust(_LABEL_WIDTH), subsequent_indent=' ' * _LABEL_WIDTH)


def _bullets(heading: str, sentences: Sequence[str]) -> list[str]:
    lines = [f"{heading}:"]
    for sentence in sentences:
        lines += wrap(sentence, _WIDTH, initial_indent="- ", subsequent_indent="  ")
    return lines
