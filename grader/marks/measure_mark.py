"""Sizes of a region: in the photo, and on the glass where there is a card."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import PointsPx
from calib.measured import Measured
from grader.marks.constants import (
    BUBBLE_MAGNIFICATION,
    EDGE_ODDS,
    LINE_END_PX,
    U_BUBBLE_MAGNIFICATION,
    U_EDGE_PX,
    U_SIZE_RATIO,
)
from grader.marks.line_path import line_path
from grader.marks.mark import MarkKind
from grader.marks.piece_crop import PieceCrop
from grader.marks.regions import LINE_KINDS, Region
from grader.outline.surface import DomeSurface


@dataclass(frozen=True, slots=True)
class MarkSizes:
    """Sizes in photo px, and in the surface's unit (mm with a card) on the glass."""

    length_px: float
    """Along the mark."""
    width_px: float
    """Across the mark."""
    diameter_px: float
    """Of the disc of equal area."""
    length: Measured
    """Along the mark, on the glass."""
    width: Measured
    """Across the mark, on the glass."""
    diameter: Measured
    """Of the disc of equal area, on the glass."""


def measure_region(
    region: Region, kind: MarkKind, outline_px: PointsPx, crop: PieceCrop, surface: DomeSurface
) -> MarkSizes:
    """Measure a region along its middle line (scratch, dust) or across its outline (the other kinds).

    Parameters
    ----------
    region : Region
    kind : MarkKind
    outline_px : ndarray of shape (N, 2)
        The region's closed outline in photo px.
    crop, surface
        Where the region was found, and the glass below it.
    """
    area_px = _n_pixels(region, kind) / crop.scale_ratio**2
    centre = outline_px.mean(axis=0)
    glass_per_px, stretch = _local_scale(centre, surface)
    if kind in LINE_KINDS:
        path = crop.to_photo(line_path(region))
        length_px = _length(path) + LINE_END_PX / crop.scale_ratio
        length = _length(surface.locate(path).points_mm) * length_px / max(_length(path), 1e-9)
        width_px = area_px / length_px
    else:
        length_px, width_px = _calipers(outline_px)
        length = length_px * glass_per_px
    area = area_px * glass_per_px**2 * stretch
    diameter = 2 * np.sqrt(area / np.pi)
    width = area / max(length, 1e-12) if kind in LINE_KINDS else width_px * glass_per_px
    edge = U_EDGE_PX / crop.scale_ratio * glass_per_px
    shrink = BUBBLE_MAGNIFICATION if kind is MarkKind.BUBBLE else 1.0
    u_depth = U_BUBBLE_MAGNIFICATION if kind is MarkKind.BUBBLE else 0.0

    def measured(value: float) -> Measured:
        parts = (
            ("edges of the mark", edge),
            ("how far the mark reaches", U_SIZE_RATIO[kind] * value),
            ("depth in the glass", u_depth * value),
        )
        return Measured(
            float(value / shrink), tuple((name, float(u)) for name, u in parts if u), 'mm' if surface.is_metric else '1'
        )

    return MarkSizes(
        float(length_px),
        float(width_px),
        float(2 * np.sqrt(area_px / np.pi)),
        measured(length),
        measured(width),
        measured(diameter),
    )


def _n_pixels(region: Region, kind: MarkKind) -> int:
    """Number of a region's pixels that count for its area: to where the odds are even, but the whole of a bruise."""
    if kind is MarkKind.BRUISE:
        return len(region.rows)
    best = region.odds.max(axis=0)
    return max(int(np.count_nonzero(best >= EDGE_ODDS)), 1) if best.max() >= EDGE_ODDS else len(region.rows)


def _local_scale(centre_px: np.ndarray, surface: DomeSurface) -> tuple[float, float]:
    """Glass length per px across the slope, and how much longer a length along the slope is than that."""
    step = 1.0
    corners = centre_px + step * np.array([[-1, 0], [1, 0], [0, -1], [0, 1]], np.float64)
    p = surface.locate(corners).points_mm
    jacobian = np.stack([p[1] - p[0], p[3] - p[2]], axis=1) / (2 * step)
    long, short = np.linalg.svd(jacobian, compute_uv=False)[:2]
    return float(short), float(long / short)


def _length(path: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())


def _calipers(outline_px: PointsPx) -> tuple[float, float]:
    """Largest width of a closed outline and the width across it, px."""
    angles = np.radians(np.arange(0, 180, 3.0))
    spread = np.ptp(outline_px @ np.stack([np.cos(angles), np.sin(angles)]), axis=0)
    best = int(np.argmax(spread))
    return float(spread[best]), float(spread[(best + len(angles) // 2) % len(angles)])
