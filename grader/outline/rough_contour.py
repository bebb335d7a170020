"""The piece's contour to within a few px: the outermost edge beyond which only smooth ground is left.

Shadows are smooth, so a place counts by how much its slope differs from the slope a little further out, in units of
the ground's noise. A path round the piece is cheap where it lies on a strong edge and leaves nothing outside.
"""

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, Mask, RgbImage
from calib.constants import MAD_TO_SD
from grader.outline.closed_path import closed_path
from grader.outline.constants import (
    EDGE_GAIN_CAP,
    JOINED_DIRECTIONS,
    LEFT_OUT_CAP,
    LEFT_OUT_START,
    LEFT_OUT_TOTAL,
    LEFT_OUT_WEIGHT,
    NOISE_RADIUS_RATIO,
    OUTER_LEAST_RATIO,
    ROUGH_DIRECTIONS,
    ROUGH_RADIUS_PX,
    ROUGH_RANGE,
    ROUGH_STEP_COST,
    ROUGH_STEP_MAX,
    TREND_LAG_PX,
    TREND_SPAN_PX,
    UNSEEN_COST,
)


def rough_contour(rgb: RgbImage, mask: Mask, centre_px: FloatArray, radius_px: float) -> FloatArray:
    """Radius of the contour about `centre_px` in ROUGH_DIRECTIONS directions from +x to +y.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
    mask : ndarray of shape (H, W)
        bool, True where ground or piece may be seen.
    centre_px : ndarray of shape (2,)
    radius_px : float
        First guess.

    Returns
    -------
    ndarray of shape (ROUGH_DIRECTIONS,)
        px.
    """
    scale = min(1.0, ROUGH_RADIUS_PX / radius_px)
    size = (max(round(rgb.shape[1] * scale), 1), max(round(rgb.shape[0] * scale), 1))
    picture = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    seen_at = cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0
    radii = np.arange(ROUGH_RANGE[0] * radius_px * scale, ROUGH_RANGE[1] * radius_px * scale, 1.0)
    levels, seen = _unroll(picture, seen_at, (centre_px + 0.5) * scale - 0.5, radii)
    slope = levels[:, 2:] - levels[:, :-2]
    usable = np.minimum.accumulate(seen[:, 2:] & seen[:, 1:-1] & seen[:, :-2], axis=1)
    radii = radii[1:-1]
    odd = _beyond_trend(slope * usable[..., None], usable)
    outer = usable & (radii > NOISE_RADIUS_RATIO * radius_px * scale)
    if outer.sum() < OUTER_LEAST_RATIO * outer.size:
        outer = usable
    strength = np.max(
        [_strength(_joined(odd, reach), outer, least_levels) for reach, least_levels in JOINED_DIRECTIONS],
        axis=0,
    )
    path = closed_path(_cost(strength, usable), ROUGH_STEP_MAX, ROUGH_STEP_COST)
    return np.asarray(radii[path] / scale)


def _unroll(picture: GreyImage, seen_at: Mask, centre: FloatArray, radii: FloatArray) -> tuple[GreyImage, Mask]:
    """Levels (directions, radii, 3), averaged over three directions, and where ground or piece may be seen."""
    turn = np.arange(ROUGH_DIRECTIONS) * 2 * np.pi / ROUGH_DIRECTIONS
    x = (centre[0] + np.outer(np.cos(turn), radii)).astype(np.float32)
    y = (centre[1] + np.outer(np.sin(turn), radii)).astype(np.float32)
    levels = cv2.remap(picture, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    byte = seen_at.astype(np.uint8)
    seen = cv2.remap(byte, x, y, cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=0) > 0
    levels = (levels + np.roll(levels, 1, axis=0) + np.roll(levels, -1, axis=0)) / 3
    return np.asarray(levels, dtype=np.float32), seen


def _beyond_trend(slope: GreyImage, usable: Mask) -> GreyImage:
    """Slope less the mean slope a little further out, 0 where unseen; (directions, radii, 3)."""
    n_directions, n_radii = usable.shape
    zero = np.zeros((n_directions, 1, 3), dtype=slope.dtype)
    total = np.cumsum(np.concatenate([zero, slope], axis=1), axis=1)
    count = np.cumsum(np.concatenate([zero[..., 0], usable], axis=1), axis=1)
    first = np.minimum(np.arange(n_radii) + TREND_LAG_PX, n_radii)
    last = np.minimum(first + TREND_SPAN_PX, n_radii)
    n_outside = np.maximum(count[:, last] - count[:, first], 1)[..., None]
    beyond = (slope - (total[:, last] - total[:, first]) / n_outside) * usable[..., None]
    return np.asarray(beyond, dtype=np.float32)


def _joined(odd: GreyImage, reach: int) -> GreyImage:
    """Mean over each direction and `reach` neighbours on both sides: weak edges show when they go on and on."""
    if reach == 0:
        return odd
    closed = np.concatenate([odd[-reach:], odd, odd[:reach]])
    total = np.cumsum(np.concatenate([np.zeros_like(closed[:1]), closed]), axis=0)
    width = 2 * reach + 1
    return np.asarray((total[width:] - total[:-width]) / width, dtype=np.float32)


def _strength(odd: GreyImage, outer: Mask, least: float) -> FloatArray:
    """Mean square of the three channels' slopes in units of the ground's noise, (directions, radii)."""
    if not outer.any():
        return np.zeros(odd.shape[:2])
    noise = MAD_TO_SD * np.median(np.abs(odd[outer]), axis=0) + least
    return np.asarray(((odd / noise) ** 2).mean(axis=2))


def _cost(strength: FloatArray, usable: Mask) -> FloatArray:
    left_out = np.clip(strength - LEFT_OUT_START, 0, LEFT_OUT_CAP)
    left_out = np.cumsum(left_out[:, ::-1], axis=1)[:, ::-1]
    beyond = np.zeros_like(left_out)
    beyond[:, :-TREND_LAG_PX] = left_out[:, TREND_LAG_PX:]
    gain = np.minimum(np.log1p(strength), EDGE_GAIN_CAP)
    return np.asarray(LEFT_OUT_WEIGHT * np.minimum(beyond, LEFT_OUT_TOTAL) - gain + UNSEEN_COST * ~usable)
