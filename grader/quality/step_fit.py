"""The blurred step that fits an edge's profile: how far light is spread across the edge.

As in the slanted-edge method of ISO 12233 (from memory), the pixels beside a straight edge are ordered by their
distance from it and averaged in quarter-pixel bins; here the profile is fitted with the integral of a Gaussian instead
of being differentiated, so that noise is not raised. Spread is the Gaussian's standard deviation, a pixel's own square
included.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from calib.arrays import FloatArray, GreyImage, Mask, PointsPx
from grader.quality.constants import (
    CLIPPED_LIGHT,
    EDGE_BIN_PX,
    SPREAD_RANGE_PX,
    STEP_FIT_ROUNDS,
)

_LEAST_BINS = 10  # Source: five times the four numbers of a step, less half for empty bins


@dataclass(frozen=True, slots=True, eq=False)
class Edges:
    """Straight edges in a photo, E of them."""

    start_px: PointsPx
    """(E, 2)"""
    end_px: PointsPx
    """(E, 2)"""
    reach_px: FloatArray
    """(E, 2) how far the picture is plain on both sides: against the normal and along it, px."""

    @property
    def normals(self) -> FloatArray:
        """(E, 2) unit normals: a quarter turn from the direction of the edge, x towards y."""
        along = self.end_px - self.start_px
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        return np.asarray(np.column_stack([-along[:, 1], along[:, 0]]))


def edge_spreads(linear: GreyImage, edges: Edges, n_places: int, least_step: float, most_misfit: float) -> FloatArray:
    """Spread of light across each edge, px, (E,); NaN where none could be measured.

    1. Pixels nearest to `n_places` places along the edge and every px across it, with their true distance from it.
    2. Means in quarter-pixel bins.
    3. Least squares of a step blurred by a Gaussian: both levels, place and spread free.

    Parameters
    ----------
    linear : ndarray of shape (H, W)
        Linear light.
    edges : Edges
    n_places : int
        Places along each edge that are read.
    least_step : float
        Least step of light at an edge that is measured, linear.
    most_misfit : float
        Largest rms departure from a blurred step, as a share of the step.
    """
    if len(edges.start_px) == 0:
        return np.zeros(0)
    distances, means, filled = _profiles(linear, edges, n_places)
    return _fit_steps(distances, means, filled, least_step, most_misfit)


def _profiles(linear: GreyImage, edges: Edges, n_places: int) -> tuple[FloatArray, FloatArray, Mask]:
    """Distances (B,) of the bins' middles, mean light (E, B) in them, and which are filled, (E, B)."""
    height, width = linear.shape
    reach = int(np.ceil(edges.reach_px.max()))
    share = (np.arange(n_places) + 0.5) / n_places
    feet = edges.start_px[:, None] + share[None, :, None] * (edges.end_px - edges.start_px)[:, None]
    normals = edges.normals
    across = np.arange(-reach, reach + 1)
    places = np.rint(feet[:, :, None] + across[None, None, :, None] * normals[:, None, None])
    distance = ((places - edges.start_px[:, None, None]) * normals[:, None, None]).sum(axis=-1)
    used = (distance > -edges.reach_px[:, :1, None]) & (distance < edges.reach_px[:, 1:, None])
    used &= np.all((places >= 0) & (places <= (width - 1, height - 1)), axis=-1)
    columns, rows = np.moveaxis(np.where(used[..., None], places, 0).astype(np.int64), -1, 0)
    n_bins = round((2 * reach + 2) / EDGE_BIN_PX)
    at = np.clip(((distance + reach + 1) / EDGE_BIN_PX).astype(np.int64), 0, n_bins - 1)
    flat = (at + n_bins * np.arange(len(at))[:, None, None])[used]
    count = np.bincount(flat, minlength=n_bins * len(at)).reshape(len(at), n_bins)
    total = np.bincount(flat, weights=linear[rows, columns][used], minlength=n_bins * len(at)).reshape(count.shape)
    # The mean distance of a bin's pixels would be a little truer than its middle; over an edge's length they agree.
    middles = np.asarray((np.arange(n_bins) + 0.5) * EDGE_BIN_PX - reach - 1, dtype=np.float64)
    return middles, total / np.maximum(count, 1), count > 0


def _fit_steps(
    distances: FloatArray, means: FloatArray, filled: Mask, least_step: float, most_misfit: float
) -> FloatArray:
    """Spread of each profile; NaN spread where a blurred step does not explain it."""
    weight = filled.astype(np.float64)
    low, high, place, spread = _start(distances, means, weight)
    damping = np.full(len(means), 1e-3)
    cost = _cost(distances, means, weight, (low, high, place, spread))
    for _ in range(STEP_FIT_ROUNDS):
        shape, by_place, by_spread = _step_shape(distances, place, spread)
        rise = (high - low)[:, None]
        columns = np.stack([1 - shape, shape, rise * by_place, rise * by_spread], axis=-1) * weight[..., None]
        left = (means - low[:, None] - rise * shape) * weight
        normal = np.einsum('ebi,ebj->eij', columns, columns)
        diagonal = np.einsum('eii->ei', normal)
        normal = normal + np.eye(4) * (damping[:, None] * diagonal + 1e-12)[:, None, :]
        step = np.linalg.solve(normal, np.einsum('ebi,eb->ei', columns, left)[..., None])[..., 0]
        tried = (low + step[:, 0], high + step[:, 1], place + step[:, 2], np.clip(spread + step[:, 3], *_ALLOWED_PX))
        tried_cost = _cost(distances, means, weight, tried)
        better = tried_cost <= cost
        low, high, place, spread = (
            np.where(better, new, old) for new, old in zip(tried, (low, high, place, spread), strict=True)
        )
        cost = np.where(better, tried_cost, cost)
        damping = np.where(better, damping / 4, damping * 8)
    rise = np.abs(high - low)
    misfit = np.sqrt(cost / np.maximum(weight.sum(axis=1), 1))
    good = (rise >= least_step) & (misfit <= most_misfit * rise) & (weight.sum(axis=1) >= _LEAST_BINS)
    good &= (spread > SPREAD_RANGE_PX[0]) & (spread < SPREAD_RANGE_PX[1])
    # A clipped side makes the step look sharper than it is.
    good &= np.maximum(low, high) < CLIPPED_LIGHT
    return np.where(good, spread, np.nan)


_ALLOWED_PX = (SPREAD_RANGE_PX[0] / 2, 2 * SPREAD_RANGE_PX[1])


def _start(distances: FloatArray, means: FloatArray, weight: FloatArray) -> tuple[FloatArray, ...]:
    """First levels, place and spread (E,): means of the outer sixths, and where the profile is in between."""
    order = np.cumsum(weight, axis=1) / np.maximum(weight.sum(axis=1, keepdims=True), 1)
    outer = 1 / 6
    ends = [weight * (order <= outer), weight * (order >= 1 - outer)]
    low, high = ((means * end).sum(axis=1) / np.maximum(end.sum(axis=1), 1) for end in ends)
    rise = np.where(np.abs(high - low) < 1e-6, 1e-6, high - low)
    share = np.clip((means - low[:, None]) / rise[:, None], 0, 1)
    inner = weight * share * (1 - share)
    mass = np.maximum(inner.sum(axis=1), 1e-9)
    place = (inner * distances).sum(axis=1) / mass
    # For a step blurred by s, share (1 - share) integrates to s / sqrt(pi).
    width = np.maximum((inner.sum(axis=1) / np.maximum(weight.sum(axis=1), 1)) * np.ptp(distances), 0)
    return low, high, place, np.clip(width * np.sqrt(np.pi), 2 * SPREAD_RANGE_PX[0], SPREAD_RANGE_PX[1])


def _step_shape(distances: FloatArray, place: FloatArray, spread: FloatArray) -> tuple[FloatArray, ...]:
    """The blurred unit step (E, B) and its changes with place and spread."""
    z = (distances - place[:, None]) / spread[:, None]
    bell = np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)
    return ndtr(z), -bell / spread[:, None], -bell * z / spread[:, None]


def _cost(distances: FloatArray, means: FloatArray, weight: FloatArray, values: tuple[FloatArray, ...]) -> FloatArray:
    """Sum of squared departures, (E,)."""
    low, high, place, spread = values
    shape, _, _ = _step_shape(distances, place, spread)
    return np.asarray((weight * (means - low[:, None] - (high - low)[:, None] * shape) ** 2).sum(axis=1))
