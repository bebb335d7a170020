"""The ring near the rim of a piece, unrolled, and the arithmetic on it."""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy.interpolate import CubicSpline

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.outline.constants import (
    MIRROR_DIRECTIONS,
    MIRROR_EVEN_WAVES,
    MIRROR_EVERY,
    MIRROR_FROM,
    MIRROR_RADII,
    MIRROR_SMOOTH,
    MIRROR_TO,
    MIRROR_VARIANCE,
    MIRROR_VARIANCE_FLOOR,
    MIRROR_WIDE,
)


@dataclass(frozen=True, slots=True, eq=False)
class MirrorBand:
    """What the photo shows near the rim."""

    light: GreyImage
    """(directions, radii) light without its smooth part."""
    weight: GreyImage
    """(directions, radii) inverse of its local variance."""
    wide_light: GreyImage
    """The same light blurred towards the rim."""
    wide_weight: GreyImage
    """Inverse of that one's local variance."""
    nodes_px: PointsPx
    """(n, 2) pixels of the coarse grid on which rays are mirrored."""


def unroll(light: GreyImage, contour_px: PointsPx) -> MirrorBand:
    """The ring inside a closed contour.

    Parameters
    ----------
    light : ndarray of shape (H, W)
        float32 linear luminance.
    contour_px : ndarray of shape (N, 2)
    """
    rim = _even_contour(contour_px, MIRROR_DIRECTIONS)
    middle = contour_px.mean(axis=0)
    places = middle + np.linspace(MIRROR_FROM, MIRROR_TO, MIRROR_RADII)[None, :, None] * (rim - middle)[:, None]
    x, y = (np.ascontiguousarray(places[..., k], dtype=np.float32) for k in range(2))
    shown = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    band = without_smooth(np.asarray(shown, dtype=np.float32))
    wide = widened(band)
    nodes = places[:: MIRROR_EVERY[0], :: MIRROR_EVERY[1]].reshape(-1, 2)
    return MirrorBand(band, _inverse_variance(band), wide, _inverse_variance(wide), nodes)


def between_nodes(values: FloatArray) -> GreyImage:
    """Values at the coarse grid's nodes (n,), brought to all directions and radii by cubic splines."""
    table = values.reshape(_BY_DIRECTION.shape[1], _BY_RADIUS.shape[0]).astype(np.float32)
    return np.asarray(_BY_DIRECTION @ table @ _BY_RADIUS, dtype=np.float32)


def without_smooth(band: GreyImage) -> GreyImage:
    """The band less its smooth part, and less what goes evenly round the rim (the rim itself, mirrored lamps)."""
    fine = band - blurred(band, MIRROR_SMOOTH)
    return np.asarray(fine - _EVEN.T @ (_EVEN @ fine), dtype=np.float32)


def widened(band: GreyImage) -> GreyImage:
    """The band blurred towards the rim."""
    return blurred(band, MIRROR_WIDE)


def blurred(band: GreyImage, spread: tuple[float, float]) -> GreyImage:
    """Gaussian blur over radii and (closed) directions."""
    reach = int(4 * spread[1]) + 1
    closed = np.concatenate([band[-reach:], band, band[:reach]])
    return np.asarray(cv2.GaussianBlur(closed, (0, 0), sigmaX=spread[0], sigmaY=spread[1])[reach:-reach])


def _inverse_variance(band: GreyImage) -> GreyImage:
    variance = blurred(band**2, MIRROR_VARIANCE)
    return np.asarray(1 / (variance + MIRROR_VARIANCE_FLOOR * np.median(variance) + 1e-12), dtype=np.float32)


def _even_contour(contour_px: PointsPx, n_points: int) -> PointsPx:
    """`n_points` of a closed contour at even steps of its index."""
    at = np.arange(n_points) * len(contour_px) / n_points
    before = at.astype(int)
    share = (at - before)[:, None]
    return np.asarray(contour_px[before] * (1 - share) + contour_px[(before + 1) % len(contour_px)] * share)


def _direction_splines() -> GreyImage:
    """Matrix (MIRROR_DIRECTIONS, nodes) of closed cubic splines."""
    nodes = np.arange(0, MIRROR_DIRECTIONS + 1, MIRROR_EVERY[0])
    unit = np.eye(len(nodes) - 1)
    spline = CubicSpline(nodes, np.vstack([unit, unit[:1]]), bc_type='periodic')
    return np.asarray(spline(np.arange(MIRROR_DIRECTIONS)), dtype=np.float32)


def _radius_splines() -> GreyImage:
    """Matrix (nodes, MIRROR_RADII) of cubic splines; the last radius is a node."""
    nodes = np.arange(0, MIRROR_RADII, MIRROR_EVERY[1])
    return np.asarray(CubicSpline(nodes, np.eye(len(nodes)))(np.arange(MIRROR_RADII)).T, dtype=np.float32)


def _even_waves() -> GreyImage:
    """Orthonormal waves (2 MIRROR_EVEN_WAVES + 1, directions) of none to MIRROR_EVEN_WAVES turns round the rim."""
    turn = np.arange(MIRROR_DIRECTIONS) * 2 * np.pi / MIRROR_DIRECTIONS
    waves = [np.ones_like(turn)]
    for k in range(1, MIRROR_EVEN_WAVES + 1):
        waves += [np.cos(k * turn), np.sin(k * turn)]
    rows = np.array(waves)
    return np.asarray(rows / np.linalg.norm(rows, axis=1, keepdims=True), dtype=np.float32)


_BY_DIRECTION = _direction_splines()
_BY_RADIUS = _radius_splines()
_EVEN = _even_waves()
