"""Two charts of a design laid over each other at one turn: which details lie where they should."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from grader.compare.design_chart import DesignChart
from grader.compare.same_constants import (
    ALL_SEEN,
    CHART_POINTS,
    CHROMA_WEIGHT,
    DETAIL_LEAST_RATIO,
    DETAIL_SPACING_STEPS,
    DETAIL_STEPS,
    EVEN_STEPS,
    FIELD_STEPS,
    GAIN_REACH,
    HUE_SPACING_STEPS,
    LUMA_WEIGHT,
    PATTERN_CLIP,
    PATTERN_NOISE,
    REACH_STEPS,
)

_Grid = npt.NDArray[np.float32]
CHANNELS = 3  # Source: luma and two hues
LEAST_POWER = 1e-9  # Source: far below the power of noise; keeps ratios finite
LEAST_SEEN = 0.5  # Source: half of a detail's window


@dataclass(frozen=True, slots=True, eq=False)
class ChartMatch:
    """Details of a design, and how they agree at one turn; K details."""

    places: FloatArray
    """(K, 2) column and row of each detail in the first chart."""
    shifts: FloatArray
    """(K, 2) how far it lies from its place in the second chart, in steps."""
    likeness: FloatArray
    """(K,) how alike it looks in both, -1 to 1."""
    energy: FloatArray
    """(K,) how much pattern it has, in log light."""
    field: FloatArray
    """(G, G, 2) shift at each place of the first chart, in steps."""
    trust: npt.NDArray[np.float32]
    """(G, G) how much pattern agrees there, in log light."""
    score: float
    """Mean likeness, weighted by pattern, -1 to 1."""
    hues: FloatArray
    """(2, M, 2) hues of the first chart, and of the second where the first's places lie: log of red and of blue over
    green, at places spread over what both show."""
    contrast: float
    """Pattern of the whole design, root mean square of log light, in the photo that has less of it."""


def match_charts(first: DesignChart, second: DesignChart, turn_rad: float) -> ChartMatch:
    """Compare two charts when the piece was turned from the first to the second.

    1. Of each chart the pattern is taken: log light less its mean on each ring and within some steps.
    2. The second is turned back and shifted by each step within reach; products are summed over small windows.
    3. At each place the shift is taken that fits best over a wide window, since refraction changes slowly.
    4. With that shift details of the pattern are compared in small windows: twice the product over the sum of the
       squares, once the contrasts are made equal. A detail that the other photo lacks counts against.
    """
    a, seen_a = pattern_of(first), first.seen.astype(np.float32)
    b, seen_b = turned_chart(pattern_of(second), turn_rad), turned_chart(second.seen.astype(np.float32), turn_rad)
    seen_b = (seen_b > ALL_SEEN).astype(np.float32)
    shifts = _shifts()
    sums = [_sums(a, seen_a, *_moved(b * seen_b[..., None], seen_b, shift)) for shift in shifts]
    fit = _best_shift(shifts, *(np.stack([one[k] for one in sums]) for k in range(4)))
    return _details(fit, _hues_of_both(first, turned_chart(second.log_light, turn_rad), seen_b, fit.shift))


def pattern_of(chart: DesignChart) -> _Grid:
    """Luma and two hues, less their means on each ring and within some steps, 0 where not seen, (G, G, 3).

    Hues count more: light shades a design, but hardly colours it.
    """
    seen = chart.seen.astype(np.float32)
    n_points = len(seen)
    even_steps = EVEN_STEPS * n_points / CHART_POINTS
    x, y = np.meshgrid(*[np.arange(n_points) - (n_points - 1) / 2] * 2)
    ring = np.rint(np.hypot(x, y)).astype(int)
    count = np.maximum(np.bincount(ring.ravel(), seen.ravel()), 1.0)
    means = [np.bincount(ring.ravel(), (chart.log_light[..., k] * seen).ravel()) / count for k in range(3)]
    apart = (chart.log_light - np.stack([mean[ring] for mean in means], axis=-1)) * seen[..., None]
    red, green, blue = np.moveaxis(apart, -1, 0)
    parts = LUMA_WEIGHT * (red + green + blue) / 3, CHROMA_WEIGHT * (red - green), CHROMA_WEIGHT * (blue - green)
    apart = np.stack(parts, axis=-1).astype(np.float32)
    total = np.maximum(cv2.GaussianBlur(seen, (0, 0), even_steps), 1e-3)[..., None]
    evened = apart - cv2.GaussianBlur(apart, (0, 0), even_steps) / total
    return np.asarray(np.clip(evened, -PATTERN_CLIP, PATTERN_CLIP) * seen[..., None], dtype=np.float32)


def turned_chart(values: _Grid, turn_rad: float) -> _Grid:
    """Values (G, G) or (G, G, C) of a chart, sampled where places lie after a turn from its x to its y."""
    c, s, middle = np.cos(turn_rad), np.sin(turn_rad), (len(values) - 1) / 2
    back = np.array([[c, -s, middle * (1 - c + s)], [s, c, middle * (1 - c - s)]])
    size = (len(values), len(values))
    return np.asarray(cv2.warpAffine(values, back, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP))


def _shifts() -> npt.NDArray[np.int_]:
    """Shifts (S, 2) within reach, in steps, the smallest first."""
    x, y = np.meshgrid(*[np.arange(-REACH_STEPS, REACH_STEPS + 1)] * 2)
    every = np.column_stack([x.ravel(), y.ravel()])
    length = np.hypot(*every.T)
    order = np.lexsort((every[:, 0], every[:, 1], length))
    return np.asarray(every[order][length[order] <= REACH_STEPS])


def _moved(values: _Grid, seen: _Grid, shift: npt.NDArray[np.int_]) -> tuple[_Grid, _Grid]:
    """Pattern and what was seen, read at places moved by a shift."""
    move = np.array([[1.0, 0.0, shift[0]], [0.0, 1.0, shift[1]]])
    size, flags = (CHART_POINTS, CHART_POINTS), cv2.INTER_NEAREST | cv2.WARP_INVERSE_MAP
    moved, free = (np.asarray(cv2.warpAffine(one, move, size, flags=flags), np.float32) for one in (values, seen))
    return moved, free


def _sums(a: _Grid, seen_a: _Grid, b: _Grid, seen_b: _Grid) -> tuple[_Grid, _Grid, _Grid, _Grid]:
    """Products, squares of both, and what both photos see, each summed over a detail's window, (G, G)."""
    parts = (
        (a * b).sum(axis=-1),
        (a * a).sum(axis=-1) * seen_b,
        (b * b).sum(axis=-1) * seen_a,
        seen_a * seen_b,
    )
    ab, aa, bb, both = (np.asarray(cv2.GaussianBlur(part, (0, 0), DETAIL_STEPS), np.float32) for part in parts)
    return ab, aa, bb, both


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    """Two charts compared place by place at the shifts that fit best; all (G, G)."""

    shift: FloatArray
    """(G, G, 2) steps."""
    likeness: _Grid
    energy: _Grid
    contrast: float


def _best_shift(shifts: npt.NDArray[np.int_], ab: _Grid, aa: _Grid, bb: _Grid, both: _Grid) -> _Fit:
    """Sums of all shifts, (S, G, G), judged at the shift that fits best over a wide window."""
    wide_ab, wide_aa, wide_bb = (
        np.stack([cv2.GaussianBlur(one, (0, 0), FIELD_STEPS) for one in sums]) for sums in (ab, aa, bb)
    )
    best = np.argmax(wide_ab / np.sqrt(wide_aa * wide_bb + LEAST_POWER), axis=0)[None]
    ab, aa, bb, both, wide_aa, wide_bb = (
        np.take_along_axis(one, best, axis=0)[0] for one in (ab, aa, bb, both, wide_aa, wide_bb)
    )
    even = (bb.sum() + LEAST_POWER) / (aa.sum() + LEAST_POWER)
    # Ratio of the contrasts, squared: a veil of light changes it, but a detail that one photo lacks must not.
    power = (wide_bb + LEAST_POWER) / (wide_aa + LEAST_POWER)
    gain = np.sqrt(np.clip(power, even / GAIN_REACH**2, even * GAIN_REACH**2))
    total = aa * gain + bb / gain
    likeness = 2 * ab / (total + 2 * CHANNELS * PATTERN_NOISE**2 * both + LEAST_POWER)
    energy = np.sqrt(total / (2 * CHANNELS) / np.maximum(both, LEAST_SEEN)) * (both > LEAST_SEEN)
    least = min(float(aa.sum()), float(bb.sum())) / CHANNELS
    return _Fit(
        shifts[best[0]].astype(np.float64), likeness, energy, float(np.sqrt(least / max(float(both.sum()), 1.0)))
    )


def _hues_of_both(first: DesignChart, second: _Grid, seen_b: _Grid, shift: FloatArray) -> FloatArray:
    """Hues (2, M, 2) of both charts at the same places of the design, M places that both see."""
    grid = np.stack(np.meshgrid(*[np.arange(CHART_POINTS)] * 2), axis=-1)
    x, y = (np.ascontiguousarray((grid + shift)[..., k], dtype=np.float32) for k in (0, 1))
    moved = cv2.remap(cv2.GaussianBlur(second, (0, 0), 1.0), x, y, cv2.INTER_NEAREST)
    both = first.seen & (cv2.remap(seen_b, x, y, cv2.INTER_NEAREST) > ALL_SEEN)
    light = np.stack([cv2.GaussianBlur(first.log_light, (0, 0), 1.0), moved])[
        :, ::HUE_SPACING_STEPS, ::HUE_SPACING_STEPS
    ]
    light = light[:, both[::HUE_SPACING_STEPS, ::HUE_SPACING_STEPS]].astype(np.float64)
    return np.asarray(light[..., [0, 2]] - light[..., [1]])


def _details(fit: _Fit, hues: FloatArray) -> ChartMatch:
    """Places with pattern, spread over the chart: the strongest of each neighbourhood."""
    size = DETAIL_SPACING_STEPS | 1
    highest = cv2.dilate(fit.energy, np.ones((size, size), np.uint8))
    strong = float(np.percentile(fit.energy[fit.energy > 0], 90)) if (fit.energy > 0).any() else 0.0
    is_detail = (fit.energy >= highest) & (fit.energy > max(DETAIL_LEAST_RATIO * strong, PATTERN_NOISE))
    row, column = np.nonzero(is_detail)
    weight = np.minimum(fit.energy, strong)
    return ChartMatch(
        places=np.column_stack([column, row]).astype(np.float64),
        shifts=fit.shift[row, column],
        likeness=fit.likeness[row, column].astype(np.float64),
        energy=fit.energy[row, column].astype(np.float64),
        field=fit.shift,
        trust=fit.energy * np.maximum(fit.likeness, 0.0),
        score=float((weight * fit.likeness).sum() / max(float(weight.sum()), LEAST_POWER)),
        hues=hues,
        contrast=fit.contrast,
    )
