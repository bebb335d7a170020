"""The best camera and pose for a card's marker corners, with its covariance.

One photo of one plane cannot tell everything: what it does not show is held by
priors, and the covariance says so. The corners of a marker share errors (the print's
ink gain, clipped white, light falling off over it), so each marker's eight
coordinates have one covariance, and markers are robust as a whole: Huber weights
(P. J. Huber, 1964) on their misfit.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.constants import (
    HUBER_SIGMAS,
    U_MARKER_OUTSET_PX,
    U_MARKER_SHIFT_PX,
    U_UNUSED_PX,
    U_WELL_SET_PX,
)
from calib.least_squares import NormalEquations, descend
from calib.pose import PARAMETER_NAMES, Pose, predict, predict_slopes


@dataclass(frozen=True, slots=True, eq=False)
class SeenMarkers:
    """What a photo shows of a card's markers.

    Attributes
    ----------
    printed_mm : ndarray of shape (N, 4, 3)
        Corners on the card, true size.
    seen_px : ndarray of shape (N, 4, 2)
    u_px : ndarray of shape (N, 4)
        Standard uncertainty of each corner's coordinates, infinite where it is not to be used.
    half_width_mm : float
        Half the card's width: the length that bends are stated over.
    """

    printed_mm: PointsMm
    seen_px: PointsPx
    u_px: FloatArray
    half_width_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """What is known beforehand, one entry a parameter of PARAMETER_NAMES.

    Attributes
    ----------
    values, u : ndarray of shape (14,)
        Expected values and standard uncertainties; infinite for free parameters.
    """

    values: FloatArray
    u: FloatArray

    @property
    def information(self) -> FloatArray:
        """Inverse squares of the uncertainties, 0 for free parameters."""
        return np.where(np.isfinite(self.u), 1 / self.u**2, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """A fitted pose.

    Attributes
    ----------
    pose : Pose
    covariance : ndarray of shape (14, 14)
    residuals_px : ndarray of shape (N, 4, 2)
        Seen minus predicted, less the outset that fits a marker best; NaN where a corner is
        ill set or not used.
    misfit : ndarray of shape (N,)
        Each marker's misfit in standard uncertainties, 1 if as expected.
    cost : float
        Half the robust weighted squares, priors included.
    pulls : ndarray of shape (14,)
        How far each parameter moved from its prior, in prior uncertainties.
    """

    pose: Pose
    covariance: FloatArray
    residuals_px: FloatArray
    misfit: FloatArray
    cost: float
    pulls: FloatArray

    @property
    def rms_px(self) -> float:
        """Root mean square distance of corners, each marker's common outset left out."""
        return float(np.sqrt(np.nanmean(np.sum(self.residuals_px**2, axis=2))))


def solve(start: Pose, seen: SeenMarkers, prior: Prior) -> Solution:
    """Fit a pose to a card's markers and to what is known beforehand.

    Parameters
    ----------
    start : Pose
    seen : SeenMarkers
    prior : Prior

    Returns
    -------
    Solution
        Its covariance is scaled by the markers' typical misfit where that exceeds 1.
    """
    equations = equations_of(seen, prior)
    pose = descend(start, equations, Pose.moved)
    return solution_at(pose, seen, prior)


def equations_of(seen: SeenMarkers, prior: Prior) -> Callable[[Pose], NormalEquations]:
    """The normal equations of markers and priors, as a function of the pose."""
    whitener = _whitener(seen)
    return lambda pose: _normal(pose, seen, whitener, prior)


def solution_at(pose: Pose, seen: SeenMarkers, prior: Prior) -> Solution:
    """Covariance and residuals at a fitted pose."""
    whitener = _whitener(seen)
    residuals = seen.seen_px - predict(pose, seen.printed_mm, seen.half_width_mm)
    misfit = _misfit(_whiten(whitener, residuals))
    spread = max(1.0, float(np.median(misfit)))
    scaled = _normal(pose, seen, whitener / spread, prior)
    covariance = np.linalg.inv(scaled.matrix)
    return Solution(
        pose,
        (covariance + covariance.T) / 2,
        _without_outset(residuals, seen),
        misfit,
        _normal(pose, seen, whitener, prior).cost,
        (pose.values - prior.values) * np.sqrt(prior.information),
    )


def _normal(pose: Pose, seen: SeenMarkers, whitener: FloatArray, prior: Prior) -> NormalEquations:
    """Robust squares of markers and priors at a pose, and their normal equations."""
    predicted, slopes = predict_slopes(pose, seen.printed_mm, seen.half_width_mm)
    residuals = _whiten(whitener, seen.seen_px - predicted)
    jacobian = whitener @ slopes.reshape(len(residuals), 8, len(PARAMETER_NAMES))
    misfit = _misfit(residuals)
    weight = np.minimum(1.0, HUBER_SIGMAS / np.maximum(misfit, 1e-12))
    weighted = jacobian * weight[:, None, None]
    off = prior.values - pose.values
    rho = np.where(misfit <= HUBER_SIGMAS, misfit**2, 2 * HUBER_SIGMAS * misfit - HUBER_SIGMAS**2)
    return NormalEquations(
        cost=0.5 * (8 * float(rho.sum()) + float(np.sum(prior.information * off**2))),
        matrix=np.einsum('nki,nkj->ij', weighted, jacobian) + np.diag(prior.information),
        downhill=np.einsum('nki,nk->i', weighted, residuals) + prior.information * off,
    )


def _whitener(seen: SeenMarkers) -> FloatArray:
    """(N, 8, 8): turns each marker's coordinate errors into independent unit ones."""
    u2 = np.minimum(seen.u_px, U_UNUSED_PX) ** 2
    n = len(u2)
    covariance = np.zeros((n, 8, 8))
    covariance[:, range(8), range(8)] = np.repeat(u2, 2, axis=1)
    outset = _outset_directions(seen.seen_px).reshape(n, 8)
    covariance += U_MARKER_OUTSET_PX**2 * outset[:, :, None] * outset[:, None, :]
    for axis in range(2):
        shift = np.tile(np.eye(2)[axis], 4)
        covariance += U_MARKER_SHIFT_PX**2 * np.outer(shift, shift)
    return np.linalg.inv(np.linalg.cholesky(covariance))


def _outset_directions(corners_px: PointsPx) -> FloatArray:
    """How far each corner moves when all four edges move out by 1 px, (N, 4, 2)."""
    along = np.roll(corners_px, -1, axis=1) - corners_px
    along /= np.maximum(np.linalg.norm(along, axis=2, keepdims=True), 1e-9)
    normal = np.stack([along[..., 1], -along[..., 0]], axis=-1)
    both = normal + np.roll(normal, 1, axis=1)
    return np.asarray(2 * both / np.maximum(np.sum(both**2, axis=2, keepdims=True), 1e-2))


def _without_outset(residuals: FloatArray, seen: SeenMarkers) -> FloatArray:
    """Residuals less each marker's best common outset; NaN for ill-set or unused corners, if others are left."""
    fine = seen.u_px < U_WELL_SET_PX
    used = (fine if fine.any() else np.isfinite(seen.u_px))[:, :, None]
    outset = _outset_directions(seen.seen_px)
    along = np.sum(residuals * outset * used, axis=(1, 2)) / np.maximum(np.sum(outset**2 * used, axis=(1, 2)), 1e-9)
    return np.where(used, residuals - along[:, None, None] * outset, np.nan)


def _whiten(whitener: FloatArray, residuals: FloatArray) -> FloatArray:
    return np.asarray(np.einsum('nij,nj->ni', whitener, residuals.reshape(len(residuals), 8)))


def _misfit(whitened: FloatArray) -> FloatArray:
    """Root mean square of a marker's whitened residuals, (N,)."""
    return np.asarray(np.sqrt(np.mean(whitened**2, axis=1)))
