"""The best camera and pose for a card's marker corners, with its covariance.

One photo of one plane cannot tell everything: what it does not show is held by
priors, and the covariance says so. Parameters are fitted by damped least squares
with Huber weights on the corners (P. J. Huber, 1964) and plain squares on the priors.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy.optimize import least_squares

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.constants import HUBER_SIGMAS

PARAMETER_NAMES: tuple[str, ...] = (
    'focal_px',
    'centre_x_px',
    'centre_y_px',
    'k1',
    'rotation_x_rad',
    'rotation_y_rad',
    'rotation_z_rad',
    'translation_x_mm',
    'translation_y_mm',
    'translation_z_mm',
    'outset_mm',
    'aspect_ratio',
)


@dataclass(frozen=True, slots=True, eq=False)
class Corners:
    """What a photo shows of a card, flattened: M corners.

    Attributes
    ----------
    printed_mm : ndarray of shape (M, 3)
        Places on the card, true size.
    outward : ndarray of shape (M, 2)
        Which way an outset moves each corner on the card: (-1, 1), (1, 1), (1, -1), (-1, -1).
    seen_px : ndarray of shape (M, 2)
    u_px : ndarray of shape (M,)
        Standard uncertainty of each coordinate.
    """

    printed_mm: PointsMm
    outward: FloatArray
    seen_px: PointsPx
    u_px: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """All parameters of one photo, in the order of PARAMETER_NAMES.

    Attributes
    ----------
    rotation0 : ndarray of shape (3, 3)
        Card to camera axes; the rotation parameters turn it further, in camera axes.
    values : ndarray of shape (12,)
    """

    rotation0: FloatArray
    values: FloatArray

    @property
    def rotation(self) -> FloatArray:
        """Card to camera axes, (3, 3)."""
        turn, _ = cv2.Rodrigues(self.values[4:7])
        return np.asarray(turn) @ self.rotation0

    @property
    def translation_mm(self) -> FloatArray:
        """(3,), camera axes."""
        return self.values[7:10]


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A fitted pose.

    Attributes
    ----------
    pose : Pose
        With its rotation parameters folded into `rotation0` (they are 0).
    covariance : ndarray of shape (12, 12)
    residuals_px : ndarray of shape (M, 2)
        Seen minus predicted.
    cost : float
        Half the weighted squares, priors included.
    sigma_ratio : float
        Corner scatter over what was expected, at least 1; it scales the covariance.
    pulls : ndarray of shape (12,)
        How far each parameter moved from its prior, in prior uncertainties.
    """

    pose: Pose
    covariance: FloatArray
    residuals_px: FloatArray
    cost: float
    sigma_ratio: float
    pulls: FloatArray


def predict(pose: Pose, printed_mm: PointsMm, outward: FloatArray) -> PointsPx:
    """Pixels of printed corners under a pose, (M, 2)."""
    focal_px, cx, cy, k1 = pose.values[:4]
    outset_mm, aspect = pose.values[10:]
    points = printed_mm.copy()
    points[:, :2] += outset_mm * outward
    points[:, 0] *= 1 - aspect / 2
    points[:, 1] *= 1 + aspect / 2
    cam = points @ pose.rotation.T + pose.translation_mm
    xy = cam[:, :2] / np.maximum(cam[:, 2:3], 1e-3)
    r2 = np.sum(xy**2, axis=1, keepdims=True)
    return np.asarray(np.array([cx, cy]) + focal_px * xy * (1 + k1 * r2))


def solve(
    start: Pose, corners: Corners, prior: FloatArray, u_prior: FloatArray
) -> Solution:
    """Fit a pose to corners and priors.

    Parameters
    ----------
    start : Pose
    corners : Corners
    prior, u_prior : ndarray of shape (12,)
        Expected value and standard uncertainty of each parameter; infinite for free ones.

    Returns
    -------
    Solution
    """
    held = np.isfinite(u_prior)
    scale = np.where(held, u_prior, 1.0)
    n_corner = 2 * len(corners.seen_px)

    def residuals(values: FloatArray) -> FloatArray:
        predicted = predict(Pose(start.rotation0, values), corners.printed_mm, corners.outward)
        off = (corners.seen_px - predicted) / corners.u_px[:, None]
        return np.concatenate([off.ravel(), ((values - prior) / scale)[held]])

    def huber(z: FloatArray) -> FloatArray:
        rho = np.vstack([z, np.ones_like(z), np.zeros_like(z)])
        far = (z > HUBER_SIGMAS**2) & (np.arange(len(z)) < n_corner)
        root = np.sqrt(z[far])
        rho[0, far] = 2 * HUBER_SIGMAS * root - HUBER_SIGMAS**2
        rho[1, far] = HUBER_SIGMAS / root
        rho[2, far] = -0.5 * HUBER_SIGMAS / root**3
        return rho

    steps = np.array([1000.0, 10, 10, 0.05, 0.01, 0.01, 0.01, 1, 1, 10, 0.01, 1e-3])
    fit = least_squares(
        residuals, start.values, loss=huber, x_scale=steps, method='trf', xtol=1e-10, ftol=1e-10
    )
    return _solution(start.rotation0, fit.x, corners, prior, scale, held, residuals, steps)


def _solution(rotation0, x, corners, prior, scale, held, residuals, steps):  # type: ignore[no-untyped-def]
    jacobian = _jacobian(residuals, x, steps)
    r = residuals(x)
    n = 2 * len(corners.seen_px)
    weight = np.ones(len(r))
    size = np.abs(r[:n])
    weight[:n] = np.where(size > HUBER_SIGMAS, HUBER_SIGMAS / np.maximum(size, 1e-9), 1.0)
    sigma_ratio = max(1.0, float(1.4826 * np.median(size)))
    weight[:n] /= sigma_ratio**2
    covariance = np.linalg.inv((jacobian * weight[:, None]).T @ jacobian)
    pose = Pose(rotation0, x)
    values = x.copy()
    values[4:7] = 0
    folded = Pose(pose.rotation, values)
    pulls = np.where(held, (x - prior) / scale, 0.0)
    off = (r[:n].reshape(-1, 2)) * corners.u_px[:, None]
    cost = 0.5 * float(np.sum(weight * r**2))
    return Solution(folded, covariance, off, cost, sigma_ratio, pulls)


def _jacobian(function, x: FloatArray, steps: FloatArray) -> FloatArray:  # type: ignore[no-untyped-def]
    """Central differences, columns in the order of the parameters."""
    columns = []
    for k, step in enumerate(steps * 1e-4):
        move = np.zeros(len(x))
        move[k] = step
        columns.append((function(x + move) - function(x - move)) / (2 * step))
    return np.column_stack(columns)
