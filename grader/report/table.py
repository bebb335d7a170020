"""The short table of a record, as the owner reads it on the screen."""

import math
from collections.abc import Sequence
from itertools import groupby
from textwrap import wrap

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.words import percent_words
from grader.record import Findings, GradingRecord, MarkFacts, PhotoSetFacts, TurnFacts
from grader.report.columns import columns

_WIDTH = 96
_LABEL_WIDTH = 20

LAYER_WORDS = {'surface': "on the glass", 'inside': "in the glass", 'undecided': "undecided"}
"""Where a mark lies in depth."""


def format_table(record: GradingRecord) -> str:
    """Short table of a record: grade, size, marks, what could not be seen, and every reason for doubt in words."""
    n_photos = len(record.photos)
    title = record.photo if record.photo_set is None else f"One piece in {n_photos} photos, the main one {record.photo}"
    lines = [title, '-' * min(len(title), _WIDTH)]
    lines += _row("Condition", _grade_words(record))
    lines += _size_rows(record)
    if record.photo_set is None:
        lines += _row("Could not be seen", unseen_words(record))
        lines += _row("Photo", _quality_words(record))
        lines += ['', *_mark_lines(reported_marks(record))]
    else:
        lines += _row("Seen", seen_words(record.photo_set))
        lines += ['', *_set_mark_lines(reported_marks(record), n_photos)]
        lines += ['', *_photo_lines(record.photo_set, record.other_findings)]
    return '\n'.join([*lines, *_closing_lines(record)]) + '\n'


def _closing_lines(findings: Findings) -> list[str]:
    lines: list[str] = []
    lines += ['', *_bullets("Why this grade", findings.grade.reasons)]
    notes = [flag.text for flag in findings.flags]
    if notes:
        lines += ['', *_bullets("Please note", notes)]
    return lines


def seen_words(photo_set: PhotoSetFacts) -> str:
    """What of the dome was seen, band by band; what was not seen is never called clean."""
    bands = []
    for band, sectors in groupby(photo_set.sectors, key=lambda one: one.band):
        ratios = [one.seen_ratio for one in sectors]
        bands.append(f"{band} {percent_words(sum(ratios) / len(ratios))}")
    n_base = sum(turn.is_base for turn in photo_set.turns)
    base = "the base by itself" if n_base else "nothing is said of the rest, nor of the underside"
    return f"{percent_words(photo_set.seen_ratio)} of the dome by at least one photo ({', '.join(bands)}); {base}"


def _set_mark_lines(marks: Sequence[MarkFacts], n_photos: int) -> list[str]:
    if not marks:
        return ["No mark was found where the photos show the glass."]
    rows = [("No.", "Mark", "Size", "Where", "Depth", "Photos", "How sure")]
    rows += [
        (
            str(mark.number),
            mark.kind,
            mark.size_words,
            mark.place_words,
            LAYER_WORDS[mark.layer],
            f"{len({seen.photo for seen in mark.seen_in or ()})} of {n_photos}",
            percent_words(mark.confidence),
        )
        for mark in marks
    ]
    return columns(rows)


def _photo_lines(photo_set: PhotoSetFacts, single: Sequence[Findings]) -> list[str]:
    rows = [("Photo", "Piece turned by", "Shows of the dome", "Marks by itself", "Quality")]
    rows += [
        (
            turn.photo,
            _turn_words(turn),
            percent_words(turn.seen_ratio) if turn.is_related else "the base" if turn.is_base else "not related",
            str(len(reported_marks(findings))),
            findings.quality.verdict,
        )
        for turn, findings in zip(photo_set.turns, single, strict=True)
    ]
    return columns(rows)


def _turn_words(turn: TurnFacts) -> str:
    if turn.is_base:
        return "stands by itself"
    return f"{round(turn.turn_deg)} degrees" if turn.is_related else "not known"


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
        *(_row("Form", sizes.form.words) if sizes.form is not None else []),
        *_row("Largest width", sizes.diameter_max_mm.text),
        *_row("Smallest width", sizes.diameter_min_mm.text),
        *(_row("Height", sizes.height_mm.text) if sizes.height_mm is not None else []),
        *(_row("Width of the foot", sizes.base_mm.text) if sizes.base_mm is not None else []),
    ]


def unseen_words(findings: Findings) -> str:
    """Return how much of the piece a photo cannot show, and why."""
    if not findings.unseen:
        return "nothing of this side"
    ordered = sorted(findings.unseen, key=lambda area: area.reason)
    sums = {
        reason: sum(area.area_ratio for area in areas)
        for reason, areas in groupby(ordered, key=lambda area: area.reason)
    }
    parts = ', '.join(f"{reason} {percent_words(ratio)}" for reason, ratio in sums.items())
    return f"{percent_words(findings.unseen_ratio)} of the piece ({parts})"


def _quality_words(findings: Findings) -> str:
    quality = findings.quality
    return f"{quality.verdict}; smallest marks that show: {quality.smallest_words}"


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
    return columns(rows)


def _row(label: str, words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent=label.ljust(_LABEL_WIDTH), subsequent_indent=' ' * _LABEL_WIDTH)


def _bullets(heading: str, sentences: Sequence[str]) -> list[str]:
    lines = [f"{heading}:"]
    for sentence in sentences:
        lines += wrap(sentence, _WIDTH, initial_indent="- ", subsequent_indent="  ")
    return lines
