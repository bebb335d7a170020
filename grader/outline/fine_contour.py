"""The contour to a fraction of a px: the rim's shape in light is fitted along the normals of the rough one."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.outline.closed_path import closed_path
from grader.outline.constants import (
    EDGE_BLUR_PX,
    FINE_DIRECTIONS,
    FINE_PASSES,
    FINE_SHIFT_COST,
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


def fine_contour(light: GreyImage, centre_px: FloatArray, radii_px: FloatArray) -> FineContour:
    """Follow the rim near a rough contour, in two passes.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
        float32, linear.
    centre_px : ndarray of shape (2,)
    radii_px : ndarray of shape (N,)
        Rough contour: radii in N directions from +x to +y.
    """
    contour = FineContour(np.empty((0, 2)), np.empty(0))
    for inside, outside, reach, step, smoothing in FINE_PASSES:
        points, normals = _smooth_contour(centre_px, radii_px, smoothing)
        contour = follow_rim(light, points, normals, inside, outside, reach, step)
        radii_px = _radii_about(centre_px, contour.points_px)
    return contour


def follow_rim(
    light: GreyImage,
    points_px: PointsPx,
    normals: FloatArray,
    inside_px: float,
    outside_px: float,
    reach_px: float,
    step_px: float,
    shift_cost: float = FINE_SHIFT_COST,
) -> FineContour:
    """One pass: the best rim within `reach_px` of a contour, neighbours held together.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
    points_px, normals : ndarray of shape (N, 2)
        Closed contour and its outward unit normals.
    inside_px, outside_px : float
        The stretch of each normal that is modelled.
    reach_px, step_px : float
        Largest shift, and the step in which shifts are tried.
    shift_cost : float
        Cost of a squared px of shift.
    """
    places = np.arange(-inside_px, outside_px + SAMPLE_STEP_PX / 2, SAMPLE_STEP_PX)
    shifts = np.arange(-reach_px, reach_px + step_px / 2, step_px)
    radius = float(np.linalg.norm(points_px - points_px.mean(axis=0), axis=1).mean())
    cost = misfit(profiles_along(light, points_px, normals, places), places, shifts, radius, EDGE_BLUR_PX)
    max_step = 1 if step_px >= SAMPLE_STEP_PX else 2
    path = closed_path(cost + shift_cost * shifts**2, max_step, FINE_STEP_COST * step_px)
    offset, curvature = _between_steps(cost, path)
    shift = shifts[np.clip(path, 1, len(shifts) - 2)] + step_px * offset
    return FineContour(points_px + normals * shift[:, None], curvature / (2 * step_px**2))


def contour_normals(points_px: PointsPx, span: int) -> FloatArray:
    """Outward unit normals of a closed contour that runs from +x to +y, from points `span` before and after."""
    along = np.roll(points_px, -span, axis=0) - np.roll(points_px, span, axis=0)
    length = np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    return np.asarray(np.column_stack([along[:, 1], -along[:, 0]]) / length)


def _smooth_contour(centre_px: FloatArray, radii_px: FloatArray, smoothing: float) -> tuple[PointsPx, FloatArray]:
    reach = int(3 * smoothing)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / smoothing) ** 2)
    wrapped = np.concatenate([radii_px[-reach:], radii_px, radii_px[:reach]])
    smooth = np.convolve(wrapped, kernel / kernel.sum(), mode='valid')
    turn = np.arange(FINE_DIRECTIONS) * 2 * np.pi / FINE_DIRECTIONS
    known = np.arange(len(radii_px)) * 2 * np.pi / len(radii_px)
    radii = np.interp(turn, known, smooth, period=2 * np.pi)
    points = centre_px + np.column_stack([np.cos(turn), np.sin(turn)]) * radii[:, None]
    return points, contour_normals(points, 4)


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
