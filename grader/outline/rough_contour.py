"""The piece's contour to within a few px: the outermost edge beyond which only smooth ground is left.

Shadows are smooth, so a place counts by how much its slope differs from the slope a little further out, in units of
the ground's noise. A path round the piece is cheap where it lies on a strong edge and leaves nothing outside.
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, GreyImage, Mask, RgbImage
from calib.constants import MAD_TO_SD
from grader.outline.closed_path import closed_path
from grader.outline.constants import (
    EDGE_GAIN_CAP,
    EDGE_GAIN_CAP_LOW,
    EXPECTED_GAIN,
    GROUND_STRENGTH_PERCENTILE,
    JOINED_DIRECTIONS,
    LEFT_OUT_CAP,
    LEFT_OUT_START,
    LEFT_OUT_START_LOW,
    LEFT_OUT_TOTAL,
    LEFT_OUT_WEIGHT,
    NOISE_RADIUS_RATIO,
    NOISE_REACH,
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
    scale, picture, seen_at = _reduced(rgb, mask, radius_px)
    radii = np.arange(ROUGH_RANGE[0] * radius_px * scale, ROUGH_RANGE[1] * radius_px * scale, 1.0)
    levels, seen = _unroll(picture, seen_at, (centre_px + 0.5) * scale - 0.5, radii[None])
    usable = np.minimum.accumulate(_seen_slopes(seen), axis=1)
    radii = radii[1:-1]
    costs = _costs(levels, usable, radii > NOISE_RADIUS_RATIO * radius_px * scale)
    path = closed_path(costs, ROUGH_STEP_MAX, ROUGH_STEP_COST)
    return np.asarray(radii[path] / scale)


@dataclass(frozen=True, slots=True, eq=False)
class ContourCosts:
    """What each place near an expected contour costs as a place of the contour."""

    expected_px: FloatArray
    """(ROUGH_DIRECTIONS,) radii of the expected contour."""
    shares: FloatArray
    """(n,) places as shares of the expected radius."""
    cost: FloatArray
    """(ROUGH_DIRECTIONS, n)"""

    def cheapest(self, departure: float) -> FloatArray:
        """Radii (ROUGH_DIRECTIONS,) px of the cheapest contour, drawn to the expected one within this share of it."""
        pull = EXPECTED_GAIN * (1 - np.exp(-0.5 * ((self.shares - 1) / departure) ** 2))
        path = closed_path(self.cost + pull, ROUGH_STEP_MAX, ROUGH_STEP_COST)
        return np.asarray(self.expected_px * self.shares[path])

    def of(self, radii_px: FloatArray) -> FloatArray:
        """Cost (ROUGH_DIRECTIONS,) of a contour with these radii, neighbours within a step counted along."""
        step = float(self.shares[1] - self.shares[0])
        place = (radii_px / self.expected_px - self.shares[0]) / step
        near = np.round(place[:, None] + (-1, 0, 1)).astype(int).clip(0, len(self.shares) - 1)
        return np.asarray(np.take_along_axis(self.cost, near, axis=1).min(axis=1))


def contour_costs(
    rgb: RgbImage,
    mask: Mask,
    centre_px: FloatArray,
    radii_px: FloatArray,
    window: tuple[float, float],
    is_low: npt.NDArray[np.bool_],
) -> ContourCosts:
    """Costs of the contour near an expected one, where ground is seen on both sides of what `mask` hides.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
    mask : ndarray of shape (H, W)
        bool, True where ground or piece may be seen.
    centre_px : ndarray of shape (2,)
    radii_px : ndarray of shape (ROUGH_DIRECTIONS,)
        Expected contour.
    window : (float, float)
        Smallest and largest radius looked at as shares of the expected one.
    is_low : ndarray of shape (ROUGH_DIRECTIONS,)
        bool, where the contour lies before the ground on which the piece casts shadow and gathered light.
    """
    mean_px = float(np.mean(radii_px))
    scale, picture, seen_at = _reduced(rgb, mask, mean_px)
    shares = np.arange(window[0], window[1], 1 / (mean_px * scale))
    levels, seen = _unroll(picture, seen_at, (centre_px + 0.5) * scale - 0.5, np.outer(radii_px * scale, shares))
    shares = shares[1:-1]
    far = shares > min(NOISE_RADIUS_RATIO, (1 + window[1]) / 2)
    return ContourCosts(
        radii_px, shares, _costs(levels, _seen_slopes(seen), far, is_low[:, None], noise_reach=NOISE_REACH)
    )


def _reduced(rgb: RgbImage, mask: Mask, radius_px: float) -> tuple[float, GreyImage, Mask]:
    """Px for each px of the photo, and picture (h, w, 3) and mask (h, w) so reduced that the radius is workable."""
    scale = min(1.0, ROUGH_RADIUS_PX / radius_px)
    size = (max(round(rgb.shape[1] * scale), 1), max(round(rgb.shape[0] * scale), 1))
    picture = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    return scale, picture, cv2.resize(mask.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) > 0


def _seen_slopes(seen: Mask) -> Mask:
    """Where the slope between a place's two neighbours can be seen, (directions, radii - 2)."""
    return np.asarray(seen[:, 2:] & seen[:, 1:-1] & seen[:, :-2])


def _costs(
    levels: GreyImage, usable: Mask, is_far: Mask, is_low: Mask | bool = False, *, noise_reach: int | None = None
) -> FloatArray:
    """Cost (directions, radii) of each place in an unrolled picture (directions, radii + 2, 3).

    `is_far` (radii,) says where ground is expected, `is_low` (directions, 1) where only strong edges are the glass's
    own; the ground's noise is that of `noise_reach` neighbouring directions on both sides, or of all.
    """
    slope = levels[:, 2:] - levels[:, :-2]
    odd = _beyond_trend(slope * usable[..., None], usable)
    outer = usable & is_far
    if outer.sum() < OUTER_LEAST_RATIO * outer.size:
        outer = usable
    strength = np.max(
        [_strength(_joined(odd, reach), outer, least, noise_reach) for reach, least in JOINED_DIRECTIONS], axis=0
    )
    start = LEFT_OUT_START
    if outer.any():
        # Grain is no structure left outside, however long the tails of its noise.
        start = max(start, float(np.percentile(strength[outer], GROUND_STRENGTH_PERCENTILE)))
    return _cost(strength, usable, np.where(is_low, max(LEFT_OUT_START_LOW, start), start), is_low)


def _unroll(picture: GreyImage, seen_at: Mask, centre: FloatArray, radii: FloatArray) -> tuple[GreyImage, Mask]:
    """Levels (directions, radii, 3), averaged over three directions, and where ground or piece may be seen.

    `radii` is (1, radii) or (directions, radii).
    """
    turn = np.arange(ROUGH_DIRECTIONS) * 2 * np.pi / ROUGH_DIRECTIONS
    x = (centre[0] + np.cos(turn)[:, None] * radii).astype(np.float32)
    y = (centre[1] + np.sin(turn)[:, None] * radii).astype(np.float32)
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


def _strength(odd: GreyImage, outer: Mask, least: float, noise_reach: int | None) -> FloatArray:
    """Mean square of the three channels' slopes in units of the ground's noise, (directions, radii)."""
    if not outer.any():
        return np.zeros(odd.shape[:2])
    if noise_reach is None:
        noise = MAD_TO_SD * np.median(np.abs(odd[outer]), axis=0) + least
        return np.asarray(((odd / noise) ** 2).mean(axis=2))
    noise = MAD_TO_SD * _median_around(np.where(outer[..., None], np.abs(odd), np.nan), noise_reach) + least
    return np.asarray(((odd / noise[:, None]) ** 2).mean(axis=2))


def _median_around(values: FloatArray, reach: int) -> FloatArray:
    """Median (directions, 3) over each `reach` directions (directions, radii, 3), lines between; NaN is no value."""
    n = len(values)
    turned = np.roll(values, reach // 2, axis=0).reshape(n // reach, -1, values.shape[2])
    known = np.isfinite(turned).any(axis=(1, 2))
    places, medians = np.arange(0, n, reach)[known], np.nanmedian(turned[known], axis=1)
    columns = [np.interp(np.arange(n), places, column, period=n) for column in medians.T]
    return np.stack(columns, axis=1)


def _cost(strength: FloatArray, usable: Mask, left_out_start: FloatArray, is_low: Mask | bool) -> FloatArray:
    left_out = np.clip(strength - left_out_start, 0, LEFT_OUT_CAP)
    left_out = np.cumsum(left_out[:, ::-1], axis=1)[:, ::-1]
    beyond = np.zeros_like(left_out)
    beyond[:, :-TREND_LAG_PX] = left_out[:, TREND_LAG_PX:]
    gain = np.minimum(np.log1p(strength), np.where(is_low, EDGE_GAIN_CAP_LOW, EDGE_GAIN_CAP))
    return np.asarray(LEFT_OUT_WEIGHT * np.minimum(beyond, LEFT_OUT_TOTAL) - gain + UNSEEN_COST * ~usable)
