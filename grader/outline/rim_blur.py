"""How blurred the rim is in one photo: a near lens or a shaky hand smears it over more px than the fit expects."""

import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.outline.constants import (
    BLUR_CANDIDATES_PX,
    BLUR_DIRECTIONS,
    BLUR_GAIN_LEAST,
    BLUR_SHIFT_PX,
    BLUR_STRETCH_PX,
    BLUR_TO_REDUCE_PX,
    EDGE_BLUR_PX,
    SAMPLE_STEP_PX,
)
from grader.outline.edge_profile import misfit, profiles_along


def rim_blur(light: GreyImage, points_px: PointsPx, normals: FloatArray) -> float:
    """Standard deviation of the blur, in px, with which the rim is explained best; the least one that
    is tried where none explains it clearly better.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
        float32, linear.
    points_px, normals : ndarray of shape (N, 2)
        Rough closed contour and its outward unit normals.
    """
    every = max(len(points_px) // BLUR_DIRECTIONS, 1)
    points, normals = points_px[::every], normals[::every]
    places = np.arange(-BLUR_STRETCH_PX[0], BLUR_STRETCH_PX[1] + SAMPLE_STEP_PX / 2, SAMPLE_STEP_PX)
    shifts = np.arange(-BLUR_SHIFT_PX, BLUR_SHIFT_PX + SAMPLE_STEP_PX / 2, SAMPLE_STEP_PX)
    radius = float(np.linalg.norm(points - points.mean(axis=0), axis=1).mean())
    profiles = profiles_along(light, points, normals, places, 1)
    costs = np.array([misfit(profiles, places, shifts, radius, blur).min(axis=1).sum() for blur in BLUR_CANDIDATES_PX])
    best = int(costs.argmin())
    return float(BLUR_CANDIDATES_PX[best if costs[best] < (1 - BLUR_GAIN_LEAST) * costs[0] else 0])


def reduction_for(blur_px: float) -> float:
    """How far a picture is to be reduced so that its blur is what the fit expects, 1 for sharp ones."""
    return 1.0 if blur_px < BLUR_TO_REDUCE_PX else 1.1 * EDGE_BLUR_PX / blur_px
