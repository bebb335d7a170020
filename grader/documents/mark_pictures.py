"""Pictures of a record's marks: the piece with all of them, and a close-up of each from the photo's own pixels."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsPx, RgbImage
from grader.documents.constants import (
    CLOCK_AGREEMENT,
    CLOSE_UP_CLEARANCE_PX,
    CLOSE_UP_HALO_PX,
    CLOSE_UP_LEAST_RADIUS_PX,
    CLOSE_UP_LEAST_RATIO,
    CLOSE_UP_LINE_PX,
    CLOSE_UP_PX,
    CLOSE_UP_ROOM,
    CLOSE_UP_SMOOTH_PX,
)
from grader.documents.pictures import window, with_scale_strip
from grader.marks.mark import Mark, MarkKind
from grader.marks.unseen import UnseenArea
from grader.record import Findings, MarkFacts
from grader.report.canvas import Canvas, Text
from grader.report.constants import COLOURS, MARGIN_U
from grader.report.glass_lines import draw_clock, draw_mark_lines, draw_silhouette, draw_unseen
from grader.report.labels import draw_labels, ring_margin_u
from grader.report.mark_shapes import lines_round
from grader.report.picture_frame import PictureFrame, cut_picture, frame_piece
from grader.report.shown import ShownMark, shown_unseen


@dataclass(frozen=True, slots=True, eq=False)
class PlacedMark:
    """A mark where one photo shows it."""

    facts: MarkFacts
    outline_px: PointsPx
    """(N, 2) in that photo."""


def placed_marks(marks: Sequence[MarkFacts], photo: str, own_photo: str) -> tuple[PlacedMark, ...]:
    """Return the marks that a photo shows, each with its outline there.

    Parameters
    ----------
    marks : sequence of MarkFacts
    photo : str
        Name of the photo.
    own_photo : str
        Photo of the outlines that name none.
    """
    found = []
    for facts in marks:
        if (facts.photo or own_photo) == photo:
            found.append(PlacedMark(facts, np.array(facts.outline_px, dtype=np.float64)))
            continue
        outlines = [seen.outline_px for seen in facts.seen_in or () if seen.photo == photo]
        if outlines:
            found.append(PlacedMark(facts, np.array(outlines[0], dtype=np.float64)))
    return tuple(found)


def piece_picture(rgb: RgbImage, findings: Findings, marks: Sequence[PlacedMark], *, with_clock: bool) -> RgbImage:
    """Return the piece in a photo (H, W, 3) with each mark's number, what could not be seen, and a scale bar."""
    shown = tuple(_shown(one) for one in marks)
    groups = shown_unseen(unseen_areas(findings))
    contour_px = np.array(findings.outline_px, dtype=np.float64)
    frame = frame_piece(contour_px, ring_margin_u(len(shown) + len(groups)) + MARGIN_U)
    canvas = Canvas(cut_picture(rgb, frame))
    draw_unseen(canvas, groups, frame)
    draw_silhouette(canvas, contour_px, frame)
    texts: list[Text] = []
    noon_rad = noon_by_marks(marks, contour_px) if with_clock else None
    if noon_rad is not None:
        texts += draw_clock(canvas, noon_rad, frame)
    lines = draw_mark_lines(canvas, shown, frame)
    texts += draw_labels(canvas, shown, lines, groups, (), frame)
    canvas.texts(texts)
    return _with_scale(canvas.rgb, findings, frame)


def unseen_areas(findings: Findings) -> tuple[UnseenArea, ...]:
    """Return what could not be seen in a photo, as the annotated picture takes it."""
    return tuple(
        UnseenArea(one.reason, np.array(one.polygon_px, dtype=np.float64), one.area_ratio, one.area_mm2)
        for one in findings.unseen
    )


def close_up(rgb: RgbImage, mark: PlacedMark, piece_px: float) -> RgbImage:
    """Return a mark enlarged from a photo (H, W, 3), with a thin line beside it and a scale bar below.

    Enlarging blends neighbouring pixels in a straight line and adds nothing.
    """
    low, high = mark.outline_px.min(axis=0), mark.outline_px.max(axis=0)
    extent_px = float((high - low).max())
    side_px = max(CLOSE_UP_ROOM * extent_px, CLOSE_UP_LEAST_RATIO * piece_px)
    centre_px = (low + high) / 2
    scale = CLOSE_UP_PX / side_px
    facts = mark.facts
    canvas = Canvas(window(rgb, scale * np.eye(2), centre_px, CLOSE_UP_PX))
    outline = (mark.outline_px - centre_px) * scale + (CLOSE_UP_PX - 1) / 2
    for line in lines_round(outline, CLOSE_UP_CLEARANCE_PX, CLOSE_UP_LEAST_RADIUS_PX):
        canvas.halo_line(
            _smoothed(line), COLOURS[MarkKind(facts.kind)], CLOSE_UP_LINE_PX, CLOSE_UP_HALO_PX, closed=True
        )
    mm_per_px = None if facts.length_mm is None else facts.length_mm / facts.length_px
    return with_scale_strip(canvas.rgb, None if mm_per_px is None else mm_per_px / scale, 1 / (piece_px * scale))


def enlargement(mark: PlacedMark, piece_px: float) -> float:
    """Return how many times a close-up is larger than the photo's own pixels."""
    extent_px = float(np.ptp(mark.outline_px, axis=0).max())
    return CLOSE_UP_PX / max(CLOSE_UP_ROOM * extent_px, CLOSE_UP_LEAST_RATIO * piece_px)


def noon_by_marks(marks: Sequence[PlacedMark], contour_px: PointsPx) -> float | None:
    """Return the direction of 12 o'clock in the picture, by where marks lie and what hour the record gives them.

    In radians from +x to +y; None where the marks do not agree on it, or are too few or too near the middle to tell.
    """
    low, high = contour_px.min(axis=0), contour_px.max(axis=0)
    total, weights = 0j, 0.0
    for one in marks:
        if one.facts.clock_h is None:
            continue
        x, y = one.outline_px.mean(axis=0) - (low + high) / 2
        weight = math.hypot(x, y)
        total += weight * np.exp(1j * (math.atan2(y, x) - one.facts.clock_h * math.pi / 6))
        weights += weight
    is_far = weights > float((high - low).mean()) / 4
    return float(np.angle(total)) if is_far and abs(total) >= CLOCK_AGREEMENT * weights else None


def _smoothed(line: FloatArray) -> FloatArray:
    """A closed line (N, 2) without the steps that a coarse outline has when it is enlarged."""
    reach = min(CLOSE_UP_SMOOTH_PX, len(line) // 8)
    shifts = range(-reach, reach + 1)
    return np.asarray(sum(np.roll(line, shift, axis=0) for shift in shifts) / len(shifts))


def _with_scale(rgb: RgbImage, findings: Findings, frame: PictureFrame) -> RgbImage:
    sizes = findings.measurements
    share = 1 / (sizes.diameter_max_px * frame.scale)
    width_mm = None if sizes.diameter_max_mm is None else sizes.diameter_max_mm.value
    return with_scale_strip(rgb, None if width_mm is None else width_mm * share, share)


def _shown(one: PlacedMark) -> ShownMark:
    facts = one.facts
    x_px, y_px = one.outline_px.mean(axis=0)
    mark = Mark(
        kind=MarkKind(facts.kind),
        confidence=facts.confidence,
        kind_odds=(),
        outline_px=one.outline_px,
        centre_px=(float(x_px), float(y_px)),
        length_px=facts.length_px,
        width_px=facts.width_px,
        diameter_px=facts.diameter_px,
        length_mm=None,
        width_mm=None,
        diameter_mm=None,
        area_mm2=None,
        clock_h=facts.clock_h,
        zone=facts.zone,
        facing=facts.facing,
    )
    return ShownMark(facts.number, mark, facts.cost_points)
