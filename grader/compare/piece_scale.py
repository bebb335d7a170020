"""The scale of a photo without a card, from the width that the same piece has in a photo with one."""

from dataclasses import dataclass, replace

import numpy as np

from calib.arrays import PointsPx
from calib.measured import Measured, combine
from grader.compare.scale_constants import LINE_STEPS, U_NEARNESS, U_VIEW_RATIO, USUAL_NEARNESS
from grader.marks.constants import BUBBLE_MAGNIFICATION, U_BUBBLE_MAGNIFICATION, U_EDGE_PX, U_SIZE_RATIO
from grader.marks.mark import Mark, MarkKind
from grader.marks.regions import LINE_KINDS
from grader.outline.surface import DomeSurface
from grader.sets.set_photo import SetPhoto

MARK_EDGES = "edges of the mark"
MARK_REACH = "how far the mark reaches"
MARK_DEPTH = "depth in the glass"
NEARNESS = "unknown distance of the camera"
VIEW = "unknown view of the photo without a card"


@dataclass(frozen=True, slots=True)
class PieceScale:
    """How long a pixel at the piece's widest ring is."""

    mm_per_px: Measured
    """Its length."""
    is_by_card: bool
    """Whether the photo's own card tells it; else the piece does."""


def scale_by_card(photo: SetPhoto) -> PieceScale | None:
    """Scale of a photo with a card; None without one."""
    diameters = photo.findings.diameters
    if diameters.max_mm is None:
        return None
    px_per_mm = photo.findings.quality.placing.px_per_mm
    value = diameters.max_mm.value / diameters.max_px if px_per_mm is None else 1 / px_per_mm
    return PieceScale(diameters.max_mm.scaled(value / diameters.max_mm.value), True)


def scale_by_piece(photo: SetPhoto, width_mm: Measured) -> PieceScale:
    """Scale of a photo without a card, whose piece is so wide.

    What is not known of the view, its slant and nearness, is part of the doubt.
    """
    per_px = width_mm.scaled(1 / photo.findings.diameters.max_px)
    return PieceScale(per_px.with_component(VIEW, U_VIEW_RATIO * per_px.value), False)


def with_sizes(mark: Mark, photo: SetPhoto, scale: PieceScale) -> Mark:
    """A mark of a photo without a card, with its sizes on the glass in mm."""
    surface = photo.surface
    along, across = glass_per_px(surface, mark.outline_px)
    # The surface's own unit is the largest width.
    unit_mm = scale.mm_per_px.scaled(photo.findings.diameters.max_px)
    is_line = mark.kind in LINE_KINDS
    # How much nearer than its rim the glass is there, in widths: it looks larger by that over the camera's distance.
    rise = float(surface.locate(mark.outline_px).points_mm[:, 2].mean()) - float(surface.centre_mm[2])
    near = 1 - rise * USUAL_NEARNESS
    along, across = along * near, across * near
    length = mark.length_px * (_line_scale(surface, mark.outline_px) * near if is_line else across)
    diameter = mark.diameter_px * float(np.sqrt(along * across))
    width = mark.width_px * across
    edge = U_EDGE_PX * across
    is_bubble = mark.kind is MarkKind.BUBBLE
    shrink, u_depth = (BUBBLE_MAGNIFICATION, U_BUBBLE_MAGNIFICATION) if is_bubble else (1.0, 0.0)

    def measured(value: float) -> Measured:
        parts = (
            (MARK_EDGES, edge),
            (MARK_REACH, U_SIZE_RATIO[mark.kind] * value),
            (NEARNESS, abs(rise) * U_NEARNESS * value),
            (MARK_DEPTH, u_depth * value),
        )
        own = Measured(value / shrink, parts, '1')
        return combine(own.value * unit_mm.value, ((unit_mm.value, own), (own.value, unit_mm)))

    diameter_mm = measured(diameter)
    return replace(
        mark,
        length_mm=measured(length),
        width_mm=measured(width),
        diameter_mm=diameter_mm,
        area_mm2=float(np.pi / 4 * diameter_mm.value**2),
    )


def glass_per_px(surface: DomeSurface, outline_px: PointsPx) -> tuple[float, float]:
    """Length on the glass, in the surface's unit, of a px at the middle of an outline: along the slope and across."""
    centre = outline_px.mean(axis=0)
    corners = centre + np.array([[-1, 0], [1, 0], [0, -1], [0, 1]], np.float64)
    p = surface.locate(corners).points_mm
    long, short = np.linalg.svd(np.stack([p[1] - p[0], p[3] - p[2]], axis=1) / 2, compute_uv=False)[:2]
    return float(long), float(short)


def _line_scale(surface: DomeSurface, outline_px: PointsPx) -> float:
    """Length on the glass, in the surface's unit, of a px along a line with this outline, (N, 2)."""
    apart = np.linalg.norm(outline_px[:, None] - outline_px[None], axis=2)
    first, last = np.unravel_index(int(apart.argmax()), apart.shape)
    steps = np.linspace(0.0, 1.0, LINE_STEPS)[:, None]
    path = surface.locate(outline_px[first] * (1 - steps) + outline_px[last] * steps).points_mm
    long = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
    return long / max(float(apart[first, last]), 1e-9)
