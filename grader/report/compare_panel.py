"""One of the two pictures of a comparison: a photo by the main photo's clock, with its changes numbered."""

from collections.abc import Sequence

import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.report.canvas import Canvas, Text
from grader.report.clock_frame import ClockFrame, draw_turned
from grader.report.compare_constants import (
    CHANGE_COLOURS,
    EMPTY_PLACE_RADIUS_U,
    PANEL_RING_STEP_U,
    PANEL_RING_U,
    SIGN_RADIUS_U,
)
from grader.report.compare_details import DetailPlace
from grader.report.compare_places import ShownChange
from grader.report.compare_signs import draw_sign
from grader.report.constants import (
    CORNER_PAD_U,
    DASH_GAP_U,
    DASH_U,
    FINE_LINE_U,
    HALO_LINE_U,
    INK,
    LINE_GAP,
    MARK_CLEARANCE_U,
    MARK_LEAST_RADIUS_U,
    PAPER,
    SCALE_BAR_RATIO,
    SCALE_BARS_MM,
    SMALL_SIZE_U,
    TEXT_SIZE_U,
    UNITS_PER_PIECE,
)
from grader.report.glass_lines import draw_clock, draw_silhouette
from grader.report.label_ring import place_on_rings, rings_needed
from grader.report.mark_shapes import lines_round
from grader.report.picture_frame import PictureFrame
from grader.report.registered import StandingPhoto
from grader.report.wording import scale_bar_words

SIGN_ROOM_U = 3.1 * SIGN_RADIUS_U


def panel_margin_u(n_signs: int) -> float:
    """Return the room outside the circle round the piece that so many signs need."""
    n_rings = rings_needed(n_signs * SIGN_ROOM_U, UNITS_PER_PIECE / 2 + PANEL_RING_U)
    return PANEL_RING_U + (n_rings - 1) * PANEL_RING_STEP_U + 1.8 * SIGN_RADIUS_U


def draw_panel(
    one: StandingPhoto,
    frame: ClockFrame,
    shown: Sequence[ShownChange],
    details: Sequence[DetailPlace],
    mm_per_px: float | None,
) -> RgbImage:
    """Return one picture, (S, S, 3) uint8.

    Parameters
    ----------
    one
        The photo.
    frame
        How it is turned and scaled.
    shown
        Changes, at their places in the photo.
    details
        Details of the design that are shown side by side, at their places in the photo.
    mm_per_px
        Scale of the photo; None where there is none, and then no bar is drawn.
    """
    drawing = frame.drawing_frame()
    canvas = Canvas(draw_turned(one.photo.findings.view.photo.rgb, frame))
    draw_silhouette(canvas, frame.to_picture(one.photo.surface.contour_px), drawing)
    texts = draw_clock(canvas, -np.pi / 2, drawing) if one.photo.is_from_above else []
    texts += [_draw_detail(canvas, place, frame, drawing.unit) for place in details]
    lines = [_draw_change(canvas, change, frame, drawing.unit) for change in shown]
    texts += _draw_signs(canvas, shown, lines, drawing)
    if mm_per_px is not None:
        texts += _draw_bar(canvas, frame, mm_per_px, drawing.unit)
    canvas.texts(texts)
    return canvas.rgb


def _draw_change(canvas: Canvas, change: ShownChange, frame: ClockFrame, unit: float) -> FloatArray:
    """Draw the line round a mark, or round the place where it is not; return its points (N, 2)."""
    outline, colour = frame.to_picture(change.outline_px), CHANGE_COLOURS[change.change]
    if not change.is_seen:
        (line,) = lines_round(outline[:1] * 0 + outline.mean(axis=0), 0.0, EMPTY_PLACE_RADIUS_U * unit)
        canvas.dashed_line(line, colour, FINE_LINE_U * unit, HALO_LINE_U * unit, 3.0 * unit, 8.0 * unit, closed=True)
        return line
    lines = lines_round(outline, MARK_CLEARANCE_U * unit, MARK_LEAST_RADIUS_U * unit)
    for line in lines:
        if change.is_possible:
            canvas.dashed_line(
                line, colour, FINE_LINE_U * unit, HALO_LINE_U * unit, DASH_U * unit, DASH_GAP_U * unit, closed=True
            )
        else:
            canvas.halo_line(line, colour, FINE_LINE_U * unit, HALO_LINE_U * unit, closed=True)
    return np.vstack(lines)


def _draw_signs(
    canvas: Canvas, shown: Sequence[ShownChange], lines: Sequence[FloatArray], drawing: PictureFrame
) -> list[Text]:
    """Draw the signs on rings round the piece, with leaders; return their numbers."""
    unit = drawing.unit
    middles = [(line.min(axis=0) + line.max(axis=0)) / 2 for line in lines]
    places = place_on_rings(
        [drawing.direction((float(x), float(y))) for x, y in middles],
        [SIGN_ROOM_U * unit] * len(shown),
        drawing.radius + PANEL_RING_U * unit,
        PANEL_RING_STEP_U * unit,
    )
    ends = [drawing.on_circle(one.angle_rad, PANEL_RING_U + one.ring * PANEL_RING_STEP_U) for one in places]
    for change, line, end in zip(shown, lines, ends, strict=True):
        start = line[int(np.argmin(np.hypot(*(line - end).T)))]
        canvas.halo_line([start, end], CHANGE_COLOURS[change.change], 1.3 * unit, 3.2 * unit)
    return [
        draw_sign(canvas, end, change.change, str(change.number), unit, is_possible=change.is_possible)
        for change, end in zip(shown, ends, strict=True)
    ]


def _draw_detail(canvas: Canvas, place: DetailPlace, frame: ClockFrame, unit: float) -> Text:
    """Draw the corners of a detail's square; return its letter."""
    x, y = frame.to_picture(place.centre_px[None])[0]
    half = place.half_ratio * 2 * frame.radius
    arm = half / 3
    for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        corner = np.array([x + dx * half, y + dy * half])
        path = [corner - [0, dy * arm], corner, corner - [dx * arm, 0]]
        canvas.halo_line(path, PAPER, 1.4 * unit, 3.4 * unit)
    size = SMALL_SIZE_U * unit
    return Text((x - half, y - half - 0.55 * size), place.letter, size, INK, 'lm', max(round(3.0 * unit), 2))


def _draw_bar(canvas: Canvas, frame: ClockFrame, mm_per_px: float, unit: float) -> list[Text]:
    """Draw a scale bar in the bottom-left corner, true at the piece's widest ring; return its words."""
    mm_per_shown = mm_per_px / frame.scale
    most_mm = SCALE_BAR_RATIO * 2 * frame.radius * mm_per_shown
    length_mm = max((one for one in SCALE_BARS_MM if one <= most_mm), default=SCALE_BARS_MM[0])
    long, pad, size = length_mm / mm_per_shown, CORNER_PAD_U * unit, TEXT_SIZE_U * unit
    y = frame.side_px - 1.4 * pad
    canvas.wash((0.0, frame.side_px - LINE_GAP * size - 3.2 * pad, long + 4.0 * pad, frame.side_px), PAPER, 0.8)
    canvas.line(
        [[2 * pad, y - 0.6 * pad], [2 * pad, y], [2 * pad + long, y], [2 * pad + long, y - 0.6 * pad]], INK, 2.4 * unit
    )
    return [Text((2 * pad + long / 2, y - 0.9 * pad - size / 2), scale_bar_words(length_mm, 0.0), size, INK, 'mm')]
