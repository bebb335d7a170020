"""How a viewing ray goes on inside the glass."""

import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from grader.outline.surface import DomeSurface
from grader.sets.constants import GLASS_INDEX


def refract(directions: FloatArray, normals: FloatArray, index: float = GLASS_INDEX) -> FloatArray:
    """Unit directions (N, 3) inside the glass of rays that come from air; Snell's law in vector form.

    Parameters
    ----------
    directions : ndarray of shape (N, 3)
        Unit directions in air, towards the glass.
    normals : ndarray of shape (N, 3)
        Outward unit normals of the glass.
    index : float
        Refractive index of the glass.
    """
    cos_in = -(directions * normals).sum(axis=1, keepdims=True)
    cos_out = np.sqrt(1 - (1 - cos_in**2) / index**2)
    return np.asarray(directions / index + (cos_in / index - cos_out) * normals)


def rays_in_glass(surface: DomeSurface, points_px: PointsPx) -> tuple[PointsMm, FloatArray]:
    """Where the viewing rays of pixels (N, 2) enter the glass, and their unit directions inside it, both (N, 3)."""
    points = surface.locate(points_px)
    _, directions = surface.eye.rays(points_px)
    return points.points_mm, refract(directions, points.normals)
