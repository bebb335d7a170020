"""What the list beside the picture says, from the findings."""

from collections.abc import Sequence
from functools import partial

from grader.marks.mark import MarkKind
from grader.report.canvas import Canvas, Text
from grader.report.legend import LegendRow
from grader.report.shown import ShownMark, ShownUnseen
from grader.report.tags import draw_letter_tag, draw_mark_tag
from grader.report.wording import (
    CLOCK_BY_CARD,
    CLOCK_BY_PHOTO,
    FOUND_HEADING,
    NO_CARD,
    NOTHING_FOUND,
    POSSIBLE_HEADING,
    POSSIBLE_NOTE,
    REJECTED_HEADING,
    REJECTED_NOTE,
    SHAPES_HEADING,
    UNSEEN_HEADING,
    UNSEEN_NOTE,
    close_up_line,
    kind_line,
    mark_details,
    mark_title,
    unseen_line,
)


def legend_rows(
    shown: Sequence[ShownMark],
    groups: Sequence[ShownUnseen],
    piece_px: float,
    *,
    has_card: bool,
    photo_line: str = '',
    close_up_of: str = '',
) -> tuple[LegendRow, ...]:
    """Return the rows of the list: marks found, possible marks, unseen parts, shapes, what the photo shows."""
    kept = [one for one in shown if not one.is_rejected]
    found = [one for one in kept if not one.is_possible]
    possible = [one for one in kept if one.is_possible]
    rejected = [one for one in shown if one.is_rejected]
    rows = [LegendRow(FOUND_HEADING, is_heading=True)]
    rows += [_mark_row(one, piece_px) for one in found] or [LegendRow('', NOTHING_FOUND)]
    if possible:
        rows.append(LegendRow(POSSIBLE_HEADING, POSSIBLE_NOTE, is_heading=True))
        rows += [_mark_row(one, piece_px) for one in possible]
    if rejected:
        rows.append(LegendRow(REJECTED_HEADING, REJECTED_NOTE, is_heading=True))
        rows += [_mark_row(one, piece_px) for one in rejected]
    if groups:
        rows.append(LegendRow(UNSEEN_HEADING, UNSEEN_NOTE, is_heading=True))
        rows += [_unseen_row(group) for group in groups]
    kinds = [kind for kind in MarkKind if any(one.mark.kind == kind for one in shown)]
    if kinds:
        rows.append(LegendRow(SHAPES_HEADING, is_heading=True))
        rows += [LegendRow('', kind_line(kind), partial(_draw_kind, kind)) for kind in kinds]
    if photo_line:
        rows.append(LegendRow('', photo_line))
    if close_up_of:
        return (*rows, LegendRow('', close_up_line(close_up_of)))
    rows.append(LegendRow('', CLOCK_BY_CARD if has_card else CLOCK_BY_PHOTO))
    return tuple(rows if has_card else [*rows, LegendRow('', NO_CARD)])


def _mark_row(one: ShownMark, piece_px: float) -> LegendRow:
    details = mark_details(one.mark, one.cost_points, one.said)
    return LegendRow(mark_title(one.mark, piece_px), details, partial(_draw_mark, one))


def _unseen_row(group: ShownUnseen) -> LegendRow:
    words = unseen_line(group.reason, group.area_ratio, len(group.areas))
    return LegendRow('', words, partial(_draw_letter, group.letter))


def _draw_mark(one: ShownMark, canvas: Canvas, at: tuple[float, float], unit: float) -> Text:
    return draw_mark_tag(canvas, at, one.mark.kind, str(one.number), unit, is_possible=one.is_possible)


def _draw_kind(kind: MarkKind, canvas: Canvas, at: tuple[float, float], unit: float) -> Text:
    return draw_mark_tag(canvas, at, kind, '', unit, is_possible=False)


def _draw_letter(letter: str, canvas: Canvas, at: tuple[float, float], unit: float) -> Text:
    return draw_letter_tag(canvas, at, letter, unit)
