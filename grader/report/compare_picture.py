"""The side-by-side picture of a comparison: both photos by one clock, changes numbered, and the list of it all."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import RgbImage
from grader.compare.sides import Side
from grader.comparison_build import Compared
from grader.comparison_words import SIDES
from grader.report.canvas import Canvas, Text, text_width, wrapped
from grader.report.clock_frame import ClockFrame, frame_by_clock
from grader.report.compare_constants import DETAIL_U, LEGEND_LEAST_U, PANEL_GAP_U, PANEL_PIECE_PX
from grader.report.compare_details import DetailPair, detail_pairs, detail_places
from grader.report.compare_legend import change_rows
from grader.report.compare_panel import draw_panel, panel_margin_u
from grader.report.compare_places import drawn_facts, places_in, shown_pair, standing
from grader.report.compare_wording import DETAILS_NOTE, caption_of, detail_line, details_heading, headline_of
from grader.report.constants import (
    FAINT_INK,
    INK,
    LEGEND_PAD_U,
    LINE_GAP,
    PAPER,
    RULE_INK,
    SMALL_SIZE_U,
    TEXT_SIZE_U,
    TITLE_SIZE_U,
    UNITS_PER_PIECE,
)
from grader.report.legend import draw_legend, lay_out_legend

_UNIT = PANEL_PIECE_PX / UNITS_PER_PIECE


def draw_comparison(compared: Compared) -> RgbImage:
    """Return the picture, (H, W, 3) uint8."""
    pair = shown_pair(compared)
    details = detail_pairs(compared, pair, round(DETAIL_U * _UNIT))
    margin_u = panel_margin_u(len(drawn_facts(compared)))
    panels = [_panel(compared, side, number, details, margin_u) for side, number in zip(SIDES, pair, strict=True)]
    side_px = panels[0].shape[0]
    gap = round(PANEL_GAP_U * _UNIT)
    width = 2 * side_px + gap
    head = _heading(compared, width)
    captions = round((TEXT_SIZE_U * LINE_GAP + LEGEND_PAD_U) * _UNIT)
    legend = lay_out_legend(change_rows(compared), LEGEND_LEAST_U)
    top = head.height + captions
    strip, bottom = top + side_px, top + side_px + round(_details_height_u(details) * _UNIT)
    sheet = np.empty((bottom + round(legend.height_u * _UNIT), width, 3), dtype=np.uint8)
    sheet[:] = PAPER
    sheet[top : top + side_px, :side_px] = panels[0]
    sheet[top : top + side_px, side_px + gap :] = panels[1]
    canvas = Canvas(sheet)
    texts = [*head.texts, *_captions(compared, pair, side_px + gap, head.height)]
    texts += _draw_details(canvas, compared, details, strip)
    canvas.line([[0, bottom], [width, bottom]], RULE_INK, 1.5 * _UNIT)
    texts += draw_legend(canvas, legend, (0.0, float(bottom)), _UNIT)
    canvas.texts(texts)
    return canvas.rgb


def _panel(compared: Compared, side: Side, number: int, details: tuple[DetailPair, ...], margin_u: float) -> RgbImage:
    one, scale = standing(compared, side, number), compared.scales[side][number]
    return draw_panel(
        one,
        frame_of(compared, side, number, margin_u),
        places_in(compared, side, number),
        detail_places(details, is_before=side == 'before'),
        None if scale is None else scale.mm_per_px.value,
    )


def frame_of(compared: Compared, side: Side, number: int, margin_u: float) -> ClockFrame:
    """Return the frame of a photo in the picture."""
    one = standing(compared, side, number)
    return frame_by_clock(one.photo, one.turn, PANEL_PIECE_PX, margin_u)


@dataclass(frozen=True, slots=True)
class _Heading:
    """Title and sentences above the pictures."""

    texts: tuple[Text, ...]
    height: int
    """In px."""


def _heading(compared: Compared, width: int) -> _Heading:
    """Headline, and the sentences of the summary, broken to the sheet's width."""
    pad = LEGEND_PAD_U * _UNIT
    top = 0.7 * pad
    texts = []
    size = TITLE_SIZE_U * _UNIT
    texts.append(Text((pad, top + size * LINE_GAP / 2), headline_of(compared.comparison), size))
    top += size * LINE_GAP
    size = TEXT_SIZE_U * _UNIT
    for line in wrapped(' '.join(compared.comparison.summary), size, width - 2 * pad):
        texts.append(Text((pad, top + size * LINE_GAP / 2), line, size))
        top += size * LINE_GAP
    return _Heading(tuple(texts), round(top + 0.7 * pad))


def _captions(compared: Compared, pair: tuple[int, int], step_px: int, top_px: int) -> list[Text]:
    size, pad = TEXT_SIZE_U * _UNIT, LEGEND_PAD_U * _UNIT
    comparison = compared.comparison
    return [
        Text(
            (k * step_px + pad, top_px + 0.3 * pad + size * LINE_GAP / 2),
            caption_of(side, facts.photos[number], k == 1),
            size,
            INK,
        )
        for k, (side, facts, number) in enumerate(zip(SIDES, (comparison.before, comparison.after), pair, strict=True))
    ]


def _details_height_u(details: Sequence[DetailPair]) -> float:
    return LEGEND_PAD_U + TEXT_SIZE_U * LINE_GAP + DETAIL_U + 2.4 * SMALL_SIZE_U if details else 0.0


def _draw_details(canvas: Canvas, compared: Compared, details: Sequence[DetailPair], top_px: int) -> list[Text]:
    """Draw the pairs of details in a row; return their words."""
    if not details:
        return []
    pad, size, small, cell = (one * _UNIT for one in (LEGEND_PAD_U, TEXT_SIZE_U, SMALL_SIZE_U, DETAIL_U))
    middle = top_px + 0.5 * pad + size * LINE_GAP / 2
    heading = details_heading(compared.comparison.same_piece.verdict)
    note_x = pad + text_width(heading, size) + pad
    texts = [Text((pad, middle), heading, size), Text((note_x, middle), DETAILS_NOTE, small, FAINT_INK)]
    top = top_px + 0.7 * pad + size * LINE_GAP
    for k, one in enumerate(details):
        left = pad + k * (2 * cell + 1.5 * pad)
        for n, picture in enumerate((one.before, one.after)):
            canvas.paste(picture, (round(left + n * (cell + 2)), round(top)))
        texts.append(Text((left, top + cell + 0.9 * small), detail_line(one.letter, one.is_alike, one.likeness), small))
    return texts
