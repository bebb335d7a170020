"""Two charts of a design laid over each other as exactly as a smooth mapping can."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from grader.compare.chart_match import ChartMatch, pattern_of, turned_chart
from grader.compare.design_chart import DesignChart
from grader.compare.same_constants import (
    ALL_SEEN,
    FIELD_PRIOR_STEPS,
    FIELD_ROUNDS,
    FIELD_STRIDE,
    FINE_BLUR_STEPS,
    PATTERN_NOISE,
    TURN_POINTS,
    TURN_REACH_RATIO,
)

POWERS = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2), (3, 0), (2, 1), (1, 2), (0, 3))
"""Powers of x and y of the mapping's terms. Source: tilt and height of the design act as quadratic and cubic terms."""


@dataclass(frozen=True, slots=True, eq=False)
class DesignField:
    """How far places of the first chart lie moved in the second, once that is turned back."""

    terms: FloatArray
    """(10, 2) factors of ``POWERS``, in half widths of the chart."""
    turn_rad: float
    """Turn of the piece from the first photo to the second, refined."""
    u_turn_rad: float
    """Its standard uncertainty by the fit."""
    base_turn_rad: float
    """The turn that the second chart was turned back by."""

    def shift(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Shift at places in half widths of the chart, in the same unit."""
        basis = _basis(x, y)
        return basis @ self.terms[:, 0], basis @ self.terms[:, 1]


def fit_field(first: DesignChart, second: DesignChart, turn_rad: float, match: ChartMatch) -> DesignField:
    """Smooth mapping from the first chart to the second.

    It starts from the shifts of `match`, and is made exact by Gauss-Newton steps on the patterns themselves. What one
    photo lacks, such as a mirrored lamp, counts little (Geman-McClure weights); terms are small a priori, except for
    the turn.
    """
    every = slice(None, None, FIELD_STRIDE)
    a = cv2.GaussianBlur(pattern_of(first), (0, 0), FINE_BLUR_STEPS)
    b = cv2.GaussianBlur(turned_chart(pattern_of(second), turn_rad), (0, 0), FINE_BLUR_STEPS)
    seen_b = turned_chart(second.seen.astype(np.float32), turn_rad)
    half = (len(a) - 1) / 2
    x, y = np.meshgrid(*[(np.arange(len(a)) - half)[every] / half] * 2)
    basis, seen = _basis(x, y), first.seen[every, every]
    prior = _prior(half)
    terms = _start(match, basis, half, prior, every)
    slopes = [np.gradient(b, axis=axis) * half for axis in (1, 0)]
    bend = prior
    for _ in range(FIELD_ROUNDS):
        at = [((part + basis @ terms[:, k]) * half + half).astype(np.float32) for k, part in enumerate((x, y))]
        moved, slope_x, slope_y = (cv2.remap(one, at[0], at[1], cv2.INTER_LINEAR) for one in (b, *slopes))
        both = seen & (cv2.remap(seen_b, at[0], at[1], cv2.INTER_LINEAR) > ALL_SEEN)
        left = a[every, every] - moved
        weight = both[..., None] / (1 + (left / (4 * PATTERN_NOISE)) ** 2) ** 2
        # Neighbouring places share noise and blur: only so many are observations of their own.
        power = float((weight * left**2).sum() / max(float(weight.sum()), 1e-9))
        scale = FIELD_STRIDE**2 / (2 * np.pi * (2 * FINE_BLUR_STEPS) ** 2) / max(power, PATTERN_NOISE**2 / 4)
        bend, pull = _normal(basis, slope_x, slope_y, left, weight)
        bend, pull = scale * bend + prior, scale * pull - prior @ terms.T.ravel()
        terms = terms + np.linalg.solve(bend, pull).reshape(2, -1).T
    mean_turn = _mean_turn()
    u_turn = np.sqrt(max(float(mean_turn @ np.linalg.solve(bend, mean_turn)), 0.0))
    turn = mean_turn @ terms.T.ravel()
    return DesignField(terms, turn_rad + float(turn), float(u_turn), turn_rad)


def _mean_turn() -> FloatArray:
    """(20,) what each term adds to the turn of the whole design, the least-squares turn of the disc inside."""
    axis = np.linspace(-TURN_REACH_RATIO, TURN_REACH_RATIO, TURN_POINTS)
    x, y = (part.ravel() for part in np.meshgrid(axis, axis))
    inside = np.hypot(x, y) <= TURN_REACH_RATIO
    x, y = x[inside], y[inside]
    basis = _basis(x, y)
    return np.concatenate([-y @ basis, x @ basis]) / float((x**2 + y**2).sum())


def _basis(x: FloatArray, y: FloatArray) -> FloatArray:
    """(..., 10) terms at places."""
    return np.stack([x**i * y**j for i, j in POWERS], axis=-1)


def _prior(half: float) -> FloatArray:
    """(20, 20) inverse covariance of the terms, those of x first."""
    weight = np.array([(half / FIELD_PRIOR_STEPS[i + j]) ** 2 for i, j in POWERS])
    return np.diag(np.concatenate([weight, weight]))


def _start(match: ChartMatch, basis: FloatArray, half: float, prior: FloatArray, every: slice) -> FloatArray:
    """Terms (10, 2) that the shifts of whole steps tell, weighted by how much pattern agrees."""
    flat = basis.reshape(-1, len(POWERS))
    weight = match.trust[every, every].ravel() / max(float(match.trust.max()), 1e-9)
    # A shift is known to about half a step, and is the same within its window.
    bend = (flat * weight[:, None]).T @ flat * (half**2 / 100) + prior[: len(POWERS), : len(POWERS)]
    shift = match.field[every, every].reshape(-1, 2) / half
    return np.asarray(np.linalg.solve(bend, (flat * weight[:, None]).T @ shift * (half**2 / 100)))


def _normal(
    basis: FloatArray,
    slope_x: npt.NDArray[np.float32],
    slope_y: npt.NDArray[np.float32],
    left: FloatArray,
    weight: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Normal equations (20, 20) and (20,) of the terms."""
    flat = basis.reshape(-1, len(POWERS))
    sums = [
        (weight * p * q).sum(axis=-1).reshape(-1, 1)
        for p, q in ((slope_x, slope_x), (slope_x, slope_y), (slope_y, slope_y), (slope_x, left), (slope_y, left))
    ]
    xx, xy, yy = (flat.T @ (flat * one) for one in sums[:3])
    pull = np.concatenate([(flat * one).sum(axis=0) for one in sums[3:]])
    return np.block([[xx, xy], [xy, yy]]), pull
