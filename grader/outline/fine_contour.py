"""The contour to a fraction of a px: the rim's shape in light is fitted along the normals of the rough one."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.outline.closed_path import closed_path
from grader.outline.constants import (
    EDGE_BLUR_PX,
    FINE_DIRECTIONS,
    FINE_NORMAL_SPAN,
    FINE_PASSES,
    FINE_SMOOTHING,
    FINE_STEP_COST,
    SAMPLE_STEP_PX,
)
from grader.outline.edge_profile import misfit, profiles_along


@dataclass(frozen=True, slots=True, eq=False)
class FineContour:
    """A contour and how sharply each of its points is known."""

    points_px: PointsPx
    """(N, 2), in order of direction from the centre."""
    weights: FloatArray
    """(N,) inverse variance along the normal, 1/px^2, 0 where the light shows no edge."""


@dataclass(frozen=True, slots=True)
class Pass:
    """How one pass looks for the rim near a contour."""

    inside_px: float
    """Stretch of each normal inside the contour that is modelled."""
    outside_px: float
    """Stretch outside."""
    reach_px: float
    """Largest shift of the rim."""
    step_px: float
    """Step in which shifts are tried."""
    joined: int
    """Neighbouring normals on both sides whose light is averaged before the rim is fitted."""
    pooled: int
    """Neighbouring normals on both sides whose misfits are averaged afterwards."""
    shift_cost: float
    """Cost of a squared px of shift."""
    has_seam: bool = False
    """Whether a narrow seam of another light may run along the rim."""


def fine_contour(
    light: GreyImage, centre_px: FloatArray, radii_px: FloatArray, *, has_seam: bool = False
) -> FineContour:
    """Follow the rim of a piece of any shape near its rough contour.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
        float32, linear.
    centre_px : ndarray of shape (2,)
    radii_px : ndarray of shape (N,)
        Rough contour: radii in N directions from +x to +y.
    has_seam : bool
        See `Pass`.
    """
    contour = FineContour(np.empty((0, 2)), np.empty(0))
    for numbers, smoothing in zip(FINE_PASSES, FINE_SMOOTHING, strict=True):
        points = smooth_contour(centre_px, radii_px, smoothing)
        contour = follow_rim(light, points, contour_normals(points, FINE_NORMAL_SPAN), Pass(*numbers, has_seam))
        radii_px = _radii_about(centre_px, contour.points_px)
    return contour


def follow_rim(light: GreyImage, points_px: PointsPx, normals: FloatArray, how: Pass) -> FineContour:
    """The best rim within reach of a contour, neighbours held together.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
    points_px, normals : ndarray of shape (N, 2)
        Closed contour and its outward unit normals.
    how : Pass
    """
    places = np.arange(-how.inside_px, how.outside_px + SAMPLE_STEP_PX / 2, SAMPLE_STEP_PX)
    shifts = np.arange(-how.reach_px, how.reach_px + how.step_px / 2, how.step_px)
    radius = float(np.linalg.norm(points_px - points_px.mean(axis=0), axis=1).mean())
    profiles = profiles_along(light, points_px, normals, places, how.joined)
    cost = misfit(profiles, places, shifts, radius, EDGE_BLUR_PX, has_seam=how.has_seam)
    cost = _pooled(cost, how.pooled)
    max_step = 1 if how.step_px >= SAMPLE_STEP_PX else 2
    path = closed_path(cost + how.shift_cost * shifts**2, max_step, FINE_STEP_COST * how.step_px)
    offset, curvature = _between_steps(cost, path)
    shift = shifts[np.clip(path, 1, len(shifts) - 2)] + how.step_px * offset
    return FineContour(points_px + normals * shift[:, None], curvature / (2 * how.step_px**2))


def _pooled(cost: FloatArray, reach: int) -> FloatArray:
    """Mean cost of each row of a closed table and `reach` rows on both sides."""
    if reach == 0:
        return cost
    closed = np.concatenate([cost[-reach:], cost, cost[:reach]])
    total = np.cumsum(np.concatenate([np.zeros_like(closed[:1]), closed]), axis=0)
    return np.asarray((total[2 * reach + 1 :] - total[: -2 * reach - 1]) / (2 * reach + 1))


def contour_normals(points_px: PointsPx, span: int) -> FloatArray:
    """Outward unit normals of a closed contour that runs from +x to +y, from points `span` before and after."""
    along = np.roll(points_px, -span, axis=0) - np.roll(points_px, span, axis=0)
    length = np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    return np.asarray(np.column_stack([along[:, 1], -along[:, 0]]) / length)


def smooth_contour(centre_px: FloatArray, radii_px: FloatArray, smoothing: float) -> PointsPx:
    """FINE_DIRECTIONS points of a contour given by radii, blurred over `smoothing` of them (standard deviation)."""
    reach = int(3 * smoothing)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / smoothing) ** 2)
    wrapped = np.concatenate([radii_px[-reach:], radii_px, radii_px[:reach]])
    smooth = np.convolve(wrapped, kernel / kernel.sum(), mode='valid')
    turn = np.arange(FINE_DIRECTIONS) * 2 * np.pi / FINE_DIRECTIONS
    known = np.arange(len(radii_px)) * 2 * np.pi / len(radii_px)
    radii = np.interp(turn, known, smooth, period=2 * np.pi)
    return np.asarray(centre_px + np.column_stack([np.cos(turn), np.sin(turn)]) * radii[:, None])


def _radii_about(centre_px: FloatArray, points_px: PointsPx) -> FloatArray:
    """Radii in FINE_DIRECTIONS even directions of a contour that goes once round the centre."""
    apart = points_px - centre_px
    turn = np.arctan2(apart[:, 1], apart[:, 0]) % (2 * np.pi)
    even = np.arange(FINE_DIRECTIONS) * 2 * np.pi / FINE_DIRECTIONS
    return np.asarray(np.interp(even, turn, np.linalg.norm(apart, axis=1), period=2 * np.pi))


def _between_steps(cost: FloatArray, path: npt.NDArray[np.int64]) -> tuple[FloatArray, FloatArray]:
    """Offset of a parabola's lowest point, in steps (-1 to 1), and its second difference (0 where it has none)."""
    rows, columns = np.arange(len(path)), np.clip(path, 1, cost.shape[1] - 2)
    before, at, after = cost[rows, columns - 1], cost[rows, columns], cost[rows, columns + 1]
    bend = before - 2 * at + after
    bowl = bend > 1e-9
    offset = np.where(bowl, 0.5 * (before - after) / np.where(bowl, bend, 1.0), 0.0)
    return np.clip(offset, -1, 1), np.where(bowl, bend, 0.0)
