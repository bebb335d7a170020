"""Lines on the glass and right round it: silhouette, marks, hatching, arrows of the widths, clock."""

import math
from collections.abc import Sequence

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.outline.dome_view import DomeView, NoCard
from grader.report.canvas import Canvas, Text
from grader.report.constants import (
    ARROW_HEAD_U,
    ARROW_U,
    COLOURS,
    DASH_GAP_U,
    DASH_U,
    FINE_LINE_U,
    HALO_LINE_U,
    HATCH_LINE_U,
    HATCH_RATIO,
    HATCH_STEP_U,
    INK,
    MARK_CLEARANCE_U,
    MARK_LEAST_RADIUS_U,
    NUMERAL_U,
    PAPER,
    SMALL_SIZE_U,
    TICK_FROM_U,
    TICK_TO_U,
    WIDTH_HINT_U,
)
from grader.report.mark_shapes import lines_round
from grader.report.picture_frame import PictureFrame
from grader.report.shown import ShownMark, ShownUnseen

# Length in mm over which the card's upward direction is taken.
_UP_MM = 5.0


def draw_silhouette(canvas: Canvas, contour_px: PointsPx, frame: PictureFrame) -> None:
    """Draw the silhouette as a hairline."""
    unit = frame.unit
    line = frame.to_picture(contour_px)
    canvas.halo_line(line, PAPER, unit, 3.0 * unit, closed=True)


def draw_unseen(canvas: Canvas, groups: Sequence[ShownUnseen], frame: PictureFrame) -> None:
    """Hatch what could not be seen, with a dotted border."""
    unit = frame.unit
    for group in groups:
        for area in group.areas:
            mask = np.zeros((frame.shown_px, frame.shown_px), dtype=np.uint8)
            points = np.round(frame.to_picture(area.polygon_px)).astype(np.int32).reshape(-1, 1, 2)
            cv2.fillPoly(mask, [points], 1)
            canvas.hatch(mask > 0, HATCH_STEP_U * unit, HATCH_LINE_U * unit, HATCH_RATIO)
            # The border of the mask, not the polygon, whose slits to its holes should not show.
            borders, _ = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
            for border in borders:
                if len(border) > 1:
                    canvas.dashed_line(
                        border.reshape(-1, 2), PAPER, 0.8 * unit, 2.0 * unit, 2.0 * unit, 9.0 * unit, closed=True
                    )


def draw_mark_lines(canvas: Canvas, shown: Sequence[ShownMark], frame: PictureFrame) -> tuple[FloatArray, ...]:
    """Draw a line round each mark; return the line's points, (N, 2), of each.

    It is dashed round a mark that is only possible; a rejected one is crossed out.
    """
    unit = frame.unit
    drawn = []
    for one in shown:
        outline = frame.to_picture(one.mark.outline_px)
        lines = lines_round(outline, MARK_CLEARANCE_U * unit, MARK_LEAST_RADIUS_U * unit)
        colour = COLOURS[one.mark.kind]
        for line in lines:
            if one.is_possible or one.is_rejected:
                canvas.dashed_line(
                    line, colour, FINE_LINE_U * unit, HALO_LINE_U * unit, DASH_U * unit, DASH_GAP_U * unit, closed=True
                )
            else:
                canvas.halo_line(line, colour, FINE_LINE_U * unit, HALO_LINE_U * unit, closed=True)
        drawn.append(np.vstack(lines))
        if one.is_rejected:
            _cross_out(canvas, drawn[-1], frame)
    return tuple(drawn)


def _cross_out(canvas: Canvas, line: FloatArray, frame: PictureFrame) -> None:
    """Draw two strokes from corner to corner of the box round a mark's line (N, 2)."""
    (x0, y0), (x1, y1) = line.min(axis=0), line.max(axis=0)
    for stroke in ([(x0, y0), (x1, y1)], [(x0, y1), (x1, y0)]):
        canvas.halo_line(stroke, PAPER, FINE_LINE_U * frame.unit, HALO_LINE_U * frame.unit)


def draw_width_arrows(canvas: Canvas, ends_px: PointsPx, frame: PictureFrame) -> FloatArray:
    """Draw arrows that point at both ends, (2, 2), of a width from outside; return the arrows' tails, (2, 2).

    A few dashes inside show the direction; the middle of the glass stays free.
    """
    unit = frame.unit
    ends = frame.to_picture(ends_px)
    along = ends[1] - ends[0]
    along = along / max(float(np.hypot(*along)), 1e-9)
    across = np.array([-along[1], along[0]])
    tails = []
    for end, out in zip(ends, (-along, along), strict=True):
        tail = end + ARROW_U * unit * out
        hint = [end, end - WIDTH_HINT_U * unit * out]
        canvas.dashed_line(hint, PAPER, unit, 3.0 * unit, 7.0 * unit, 7.0 * unit)
        barbs = [end + ARROW_HEAD_U * unit * (out + 0.45 * side * across) for side in (-1.0, 1.0)]
        canvas.halo_line([tail, end], PAPER, 2.4 * unit, 6.0 * unit)
        canvas.shape([end, barbs[0], barbs[1]], PAPER, INK, 1.6 * unit)
        tails.append(tail)
    return np.array(tails)


def draw_clock(canvas: Canvas, noon_rad: float, frame: PictureFrame) -> list[Text]:
    """Draw the twelve ticks of the clock round the piece; return the numerals 12, 3, 6 and 9."""
    texts = []
    unit = frame.unit
    for hour in range(12):
        angle = noon_rad + hour * math.pi / 6.0
        longer = 4.0 if hour % 3 == 0 else 0.0
        tick = [frame.on_circle(angle, TICK_FROM_U), frame.on_circle(angle, TICK_TO_U + longer)]
        canvas.halo_line(tick, PAPER, 1.6 * unit, 4.0 * unit)
        if hour % 3 == 0:
            at = frame.on_circle(angle, NUMERAL_U)
            texts.append(Text(at, str(hour or 12), SMALL_SIZE_U * unit, INK, 'mm', max(round(3.0 * unit), 2)))
    return texts


def noon_direction(view: DomeView) -> float:
    """Return the direction of 12 o'clock in the picture, from +x to +y, in radians.

    With a card it is that of the card's top edge, seen at the piece; without one, the top of the photo.
    """
    if isinstance(view.card, NoCard):
        return -math.pi / 2.0
    middle_mm = view.card.to_plane_mm(view.outline.centre_px.reshape(1, 2))[0]
    line_mm = np.array([[*middle_mm, 0.0], [middle_mm[0], middle_mm[1] + _UP_MM, 0.0]])
    foot_px, up_px = view.card.project_mm(line_mm)
    return math.atan2(up_px[1] - foot_px[1], up_px[0] - foot_px[0])
