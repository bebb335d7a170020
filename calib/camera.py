"""The camera: a pinhole with one radial term.

Camera axes: x right, y down, z forward, mm. A point (X, Y, Z) is seen at
x = X / Z, y = Y / Z; distortion moves it to x_d = x (1 + k1 r^2), r^2 = x^2 + y^2;
the pixel is centre + focal x_d. k1 is that of Brown's model (Duane C. Brown, 1971,
"Close-range camera calibration", from memory), as in OpenCV.
"""

from dataclasses import dataclass, replace

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.constants import UNDISTORT_STEPS


@dataclass(frozen=True, slots=True)
class Camera:
    """Inner parameters of one photo's camera.

    Attributes
    ----------
    focal_px : float
        Focal length in px, square pixels.
    centre_px : (float, float)
        Principal point (x, y).
    k1 : float
        Radial term, no unit.
    size_px : (int, int)
        Width and height of the photo.
    u_focal_px : float
        Standard uncertainty of the focal length.
    focal_source : str
        Where it comes from, in words.
    """

    focal_px: float
    centre_px: tuple[float, float]
    k1: float
    size_px: tuple[int, int]
    u_focal_px: float
    focal_source: str

    def project(self, points_cam: FloatArray) -> PointsPx:
        """Pixels of points in front of the camera.

        Parameters
        ----------
        points_cam : ndarray of shape (N, 3)
            mm, camera axes, z > 0.

        Returns
        -------
        ndarray of shape (N, 2)
        """
        xy = points_cam[:, :2] / points_cam[:, 2:3]
        r2 = np.sum(xy**2, axis=1, keepdims=True)
        return np.asarray(np.asarray(self.centre_px) + self.focal_px * xy * (1 + self.k1 * r2))

    def rays(self, points_px: PointsPx) -> FloatArray:
        """Directions in which the camera sees pixels.

        Parameters
        ----------
        points_px : ndarray of shape (N, 2)

        Returns
        -------
        ndarray of shape (N, 3)
            Unit vectors, camera axes.
        """
        xy_d = (np.atleast_2d(points_px) - np.asarray(self.centre_px)) / self.focal_px
        xy = undistort(xy_d, self.k1)
        rays = np.column_stack([xy, np.ones(len(xy))])
        return np.asarray(rays / np.linalg.norm(rays, axis=1, keepdims=True))

    def moved(self, focal_px: float, centre_px: tuple[float, float], k1: float) -> 'Camera':
        """The same camera with other values of its three inner parameters."""
        return replace(self, focal_px=focal_px, centre_px=centre_px, k1=k1)


def undistort(xy_d: FloatArray, k1: float) -> FloatArray:
    """Solve x_d = x (1 + k1 r^2) for x by Newton's method on the radius.

    Parameters
    ----------
    xy_d : ndarray of shape (N, 2)
        Distorted normalised coordinates.
    k1 : float

    Returns
    -------
    ndarray of shape (N, 2)
    """
    r_d = np.linalg.norm(xy_d, axis=1)
    r = r_d.copy()
    for _ in range(UNDISTORT_STEPS):
        slope = np.maximum(1 + 3 * k1 * r**2, 0.1)
        r = r - (r * (1 + k1 * r**2) - r_d) / slope
    ratio = np.divide(r, r_d, out=np.ones_like(r), where=r_d > 0)
    return np.asarray(xy_d * ratio[:, None])
