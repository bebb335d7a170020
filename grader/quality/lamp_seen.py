"""A lamp that stands in the picture itself: a low ring light round the piece."""

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx, RgbImage
from calib.linear_light import linear_rgb
from grader.marks.unseen_constants import CLIPPED_CODE
from grader.quality.light_constants import (
    LAMP_DIRECTIONS,
    LAMP_LEAST_DIRECTIONS,
    LAMP_REDUCED_PX,
    LAMP_SHARE,
    LAMP_SPREAD_RATIO,
    LAMP_STEP,
    LAMP_THIN_PX,
)

_INNER_STEPS = 4  # Source: the edge's own blur at this reduction, twice


def is_lamp_in_picture(rgb: RgbImage, contour_px: PointsPx) -> bool:
    """Whether a clipped ring stands round the piece, with a sharp inner edge at about one distance.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    contour_px : ndarray of shape (N, 2)
        The piece's outline.
    """
    scale = LAMP_REDUCED_PX / max(rgb.shape[:2])
    size = (max(1, round(rgb.shape[1] * scale)), max(1, round(rgb.shape[0] * scale)))
    small = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    middle = (contour_px.mean(axis=0) + 0.5) * scale - 0.5
    start = float(np.linalg.norm(contour_px - contour_px.mean(axis=0), axis=1).max()) * scale + 2
    starts, reach = _clipped_starts(small, middle, start)
    seen = np.isfinite(starts)
    if np.count_nonzero(seen) < LAMP_LEAST_DIRECTIONS / 2:
        return False
    turn = _directions()[seen]
    edge = middle + starts[seen, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    centre, radius = _circle_through(edge)
    off = np.abs(np.linalg.norm(edge - centre, axis=1) - radius)
    n_reaching = np.count_nonzero(reach >= np.median(starts[seen]) * (1 + LAMP_SPREAD_RATIO))
    return bool(
        n_reaching >= LAMP_LEAST_DIRECTIONS
        and np.count_nonzero(off <= LAMP_SPREAD_RATIO * radius) >= LAMP_SHARE * n_reaching
        and np.median(off) <= LAMP_SPREAD_RATIO / 2 * radius
    )


def _directions() -> FloatArray:
    return np.asarray(np.arange(LAMP_DIRECTIONS) * (2 * np.pi / LAMP_DIRECTIONS), dtype=np.float64)


def _circle_through(points: PointsPx) -> tuple[FloatArray, float]:
    """Middle (2,) and radius of the circle of least squares in the algebraic sense (Kasa 1976, from memory), twice:
    the second time without the worst quarter.
    """
    kept, centre, radius = np.ones(len(points), dtype=bool), points.mean(axis=0), 0.0
    for _ in range(2):
        some = points[kept]
        columns = np.column_stack([2 * some, np.ones(len(some))])
        x, y, rest = np.linalg.lstsq(columns, (some**2).sum(axis=1), rcond=None)[0]
        centre, radius = np.array([x, y]), float(np.sqrt(max(rest + x * x + y * y, 0.0)))
        off = np.abs(np.linalg.norm(points - centre, axis=1) - radius)
        kept = off <= np.quantile(off, 0.75)
    return np.asarray(centre, dtype=np.float64), radius


def _clipped_starts(small: RgbImage, middle: FloatArray, start_px: float) -> tuple[FloatArray, FloatArray]:
    """How far from the middle a lamp begins in each direction (infinite where none), and where the picture ends."""
    height, width = small.shape[:2]
    turn = _directions()
    radius = np.arange(start_px, np.hypot(height, width))
    x = middle[0] + radius[None] * np.cos(turn)[:, None]
    y = middle[1] + radius[None] * np.sin(turn)[:, None]
    within = (x >= 0) & (x <= width - 1) & (y >= 0) & (y <= height - 1)
    columns, rows = (np.where(within, np.rint(v), 0).astype(np.int64) for v in (x, y))
    codes = np.where(within[..., None], small[rows, columns], np.uint8(0))
    light = linear_rgb(np.ascontiguousarray(codes)).mean(axis=2)
    clipped = codes.min(axis=2) >= CLIPPED_CODE
    reach = start_px + np.count_nonzero(within, axis=1)
    starts = np.full(LAMP_DIRECTIONS, np.inf)
    for k in range(LAMP_DIRECTIONS):
        run = np.convolve(clipped[k], np.ones(LAMP_THIN_PX, int), 'valid') == LAMP_THIN_PX
        at = np.flatnonzero(run)
        if len(at) and at[0] >= _INNER_STEPS and light[k, at[0] - _INNER_STEPS] < 1 - LAMP_STEP:
            starts[k] = radius[at[0]]
    return starts, reach
