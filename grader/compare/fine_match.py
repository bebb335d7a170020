"""Fine details of two charts that a smooth mapping lays over each other."""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from grader.compare.chart_match import CHANNELS, pattern_of, turned_chart
from grader.compare.design_chart import DesignChart
from grader.compare.design_field import DesignField
from grader.compare.same_constants import (
    ALL_SEEN,
    FINE_DETAIL_STEPS,
    FINE_SPACING_STEPS,
    PATTERN_NOISE,
)


@dataclass(frozen=True, slots=True, eq=False)
class FineMatch:
    """Fine details with pattern, spread over the chart; K details."""

    places: FloatArray
    """(K, 2) column and row in the first chart."""
    likeness: FloatArray
    """(K,) how alike it looks in both, -1 to 1."""
    off: FloatArray
    """(K,) how far it lies beside its place across its edges, in shares of the chart's half width."""
    energy: FloatArray
    """(K,) how much pattern it has, in log light."""


def match_fine(first: DesignChart, second: DesignChart, field: DesignField) -> FineMatch:
    """Compare fine details where the mapping puts them."""
    a = pattern_of(first)
    half = (len(a) - 1) / 2
    b = turned_chart(pattern_of(second), field.base_turn_rad)
    seen_b = turned_chart(second.seen.astype(np.float32), field.base_turn_rad)
    x, y = np.meshgrid(*[(np.arange(len(a)) - half) / half] * 2)
    dx, dy = field.shift(x, y)
    at = [((part + move) * half + half).astype(np.float32) for part, move in ((x, dx), (y, dy))]
    moved = cv2.remap(b, at[0], at[1], cv2.INTER_LINEAR)
    both = (first.seen & (cv2.remap(seen_b, at[0], at[1], cv2.INTER_LINEAR) > ALL_SEEN)).astype(np.float32)
    return _details(a * both[..., None], moved * both[..., None], both)


def _details(a: npt.NDArray[np.float32], b: npt.NDArray[np.float32], both: npt.NDArray[np.float32]) -> FineMatch:
    def summed(values: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
        return np.asarray(cv2.GaussianBlur(values, (0, 0), FINE_DETAIL_STEPS))

    share = summed(both)
    ab, aa, bb = (summed((one * two).sum(axis=-1)) for one, two in ((a, b), (a, a), (b, b)))
    gain = np.sqrt((bb.sum() + 1e-9) / (aa.sum() + 1e-9))
    wide = [cv2.GaussianBlur(one, (0, 0), 5 * FINE_DETAIL_STEPS) for one in (aa, bb)]
    gain = np.clip(np.sqrt((wide[1] + 1e-9) / (wide[0] + 1e-9)), gain / 2, gain * 2)
    total = aa * gain + bb / gain
    likeness = 2 * ab / (total + 2 * CHANNELS * PATTERN_NOISE**2 * share + 1e-9)
    energy = np.sqrt(total / (2 * CHANNELS) / np.maximum(share, 0.5)) * (share > 0.5)
    off = _off(a, b, gain, summed)
    size = FINE_SPACING_STEPS | 1
    highest = cv2.dilate(energy, np.ones((size, size), np.uint8))
    row, column = np.nonzero((energy >= highest) & (energy > PATTERN_NOISE))
    return FineMatch(
        np.column_stack([column, row]).astype(np.float64),
        likeness[row, column].astype(np.float64),
        off[row, column].astype(np.float64),
        energy[row, column].astype(np.float64),
    )


def _off(
    a: npt.NDArray[np.float32],
    b: npt.NDArray[np.float32],
    gain: FloatArray,
    summed: Callable[[npt.NDArray[np.float32]], npt.NDArray[np.float32]],
) -> FloatArray:
    """Least shift (G, G) that would explain the difference of both near each place, in half widths."""
    even = np.sqrt(gain)[..., None]
    left, mean = b / even - a * even, (b / even + a * even) / 2
    slope_y, slope_x = (np.gradient(mean, axis=axis) for axis in (0, 1))
    xx, xy, yy, xl, yl = (
        summed((one * two).sum(axis=-1).astype(np.float32))
        for one, two in ((slope_x, slope_x), (slope_x, slope_y), (slope_y, slope_y), (slope_x, left), (slope_y, left))
    )
    # Ridge: along an edge no shift is told.
    ridge = 0.1 * (xx + yy) + CHANNELS * PATTERN_NOISE**2 / 4
    det = (xx + ridge) * (yy + ridge) - xy**2
    x, y = ((yy + ridge) * xl - xy * yl) / det, ((xx + ridge) * yl - xy * xl) / det
    return np.asarray(np.hypot(x, y) / ((len(a) - 1) / 2))
