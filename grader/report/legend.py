"""The list beside the picture: what each number and letter stands for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from grader.report.canvas import Canvas, Text, wrapped
from grader.report.constants import (
    FAINT_INK,
    INK,
    LEGEND_COLUMNS_MOST,
    LEGEND_GROWTH,
    LEGEND_PAD_U,
    LEGEND_TALLER,
    LEGEND_WIDTH_U,
    LINE_GAP,
    RULE_INK,
    SMALL_SIZE_U,
    TAG_RADIUS_U,
    TEXT_SIZE_U,
)

DrawTag = Callable[[Canvas, tuple[float, float], float], Text]
"""Draws a tag at a place in units of so many px, and gives its number to be written."""


@dataclass(frozen=True, slots=True)
class LegendRow:
    """One entry of the list."""

    title: str
    """First line, in full ink; '' if there is none."""
    details: str = ''
    """Further lines, smaller."""
    draw_tag: DrawTag | None = None
    """Tag at its left."""
    is_heading: bool = False
    """Whether it heads those that follow."""


@dataclass(frozen=True, slots=True)
class _Set:
    """A row with its lines broken, in u."""

    row: LegendRow
    titles: tuple[str, ...]
    details: tuple[str, ...]

    @property
    def text_height_u(self) -> float:
        return (len(self.titles) * TEXT_SIZE_U + len(self.details) * SMALL_SIZE_U) * LINE_GAP

    @property
    def height_u(self) -> float:
        room = 22.0 if self.row.is_heading else 14.0
        return max(self.text_height_u, 2.4 * TAG_RADIUS_U if self.row.draw_tag else 0.0) + room


@dataclass(frozen=True, slots=True)
class LegendLayout:
    """Rows in columns."""

    columns: tuple[tuple[_Set, ...], ...]
    width_u: float
    height_u: float


def lay_out_legend(rows: Sequence[LegendRow], height_u: float) -> LegendLayout:
    """Return rows in few columns about as high as the picture; the height grows before a further column is begun."""
    broken = [_broken(row) for row in rows]
    room_u = height_u - 2.0 * LEGEND_PAD_U
    wanted = min(len(_filled(broken, room_u * LEGEND_TALLER)), LEGEND_COLUMNS_MOST)
    columns = _filled(broken, room_u)
    while len(columns) > wanted:
        room_u *= LEGEND_GROWTH
        columns = _filled(broken, room_u)
    tallest_u = max((sum(one.height_u for one in column) for column in columns), default=0.0)
    return LegendLayout(columns, len(columns) * LEGEND_WIDTH_U, tallest_u + 2.0 * LEGEND_PAD_U)


def draw_legend(canvas: Canvas, layout: LegendLayout, corner: tuple[float, float], unit: float) -> list[Text]:
    """Draw the tags and rules of a legend with its top-left corner at a place; return its texts."""
    texts: list[Text] = []
    for k, column in enumerate(layout.columns):
        left = corner[0] + (k * LEGEND_WIDTH_U + LEGEND_PAD_U) * unit
        top = corner[1] + LEGEND_PAD_U * unit
        for one in column:
            texts += _draw_row(canvas, one, (left, top), unit)
            top += one.height_u * unit
    return texts


def _broken(row: LegendRow) -> _Set:
    width_u = LEGEND_WIDTH_U - 2.0 * LEGEND_PAD_U - (_indent_u() if row.draw_tag else 0.0)
    titles = wrapped(row.title, TEXT_SIZE_U, width_u)
    return _Set(row, tuple(titles), tuple(wrapped(row.details, SMALL_SIZE_U, width_u)))


def _filled(rows: Sequence[_Set], room_u: float) -> tuple[tuple[_Set, ...], ...]:
    """Rows in columns no higher than the room; a heading never ends a column."""
    columns: list[list[_Set]] = [[]]
    for k, row in enumerate(rows):
        needed_u = row.height_u + (rows[k + 1].height_u if row.row.is_heading and k + 1 < len(rows) else 0.0)
        if columns[-1] and sum(one.height_u for one in columns[-1]) + needed_u > room_u:
            columns.append([])
        columns[-1].append(row)
    return tuple(tuple(column) for column in columns)


def _draw_row(canvas: Canvas, one: _Set, at: tuple[float, float], unit: float) -> list[Text]:
    left, top = at
    texts: list[Text] = []
    if one.row.is_heading:
        y = top + (one.height_u - 12.0) * unit
        canvas.line([[left, y], [left + (LEGEND_WIDTH_U - 2.0 * LEGEND_PAD_U) * unit, y]], RULE_INK, 1.5 * unit)
    if one.row.draw_tag is not None:
        at_tag = (left + 1.4 * TAG_RADIUS_U * unit, top + 1.2 * TAG_RADIUS_U * unit)
        texts.append(one.row.draw_tag(canvas, at_tag, unit))
        left += _indent_u() * unit
        top += max(2.4 * TAG_RADIUS_U - one.text_height_u, 0.0) / 2.0 * unit
    for lines, size_u, ink in ((one.titles, TEXT_SIZE_U, INK), (one.details, SMALL_SIZE_U, FAINT_INK)):
        for line in lines:
            texts.append(Text((left, top + size_u * LINE_GAP / 2.0 * unit), line, size_u * unit, ink))
            top += size_u * LINE_GAP * unit
    return texts


def _indent_u() -> float:
    return 3.3 * TAG_RADIUS_U
