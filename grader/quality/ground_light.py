"""How light rises from the middle of the card to its edge: a low lamp round the card is nearer to the edge."""

import numpy as np

from calib.arrays import FloatArray, Mask, PointsPx, RgbImage
from calib.card_fit import CardFit
from calib.constants import MAD_TO_SD
from calib.linear_light import linear_grey
from grader.quality.light_constants import (
    GROUND_CLEAR_RATIO,
    GROUND_HALF_MM,
    GROUND_LEAST_SAMPLES,
    GROUND_SCALE_MM,
    GROUND_STEP_MM,
    PATCH_CLEAR_MM,
)

_DARK = 0.003  # Source: a tenth of black paper (0.03), so that noise in black makes no large logarithm
_ROBUST_ROUNDS = 3


def ground_rise(rgb: RgbImage, card: CardFit, contour_px: PointsPx) -> float | None:
    """Rise of log light from the card's middle to GROUND_SCALE_MM from it; None where too little ground is seen.

    Log light on the clear field is fitted with a constant, a slope in x and y, and the square of the distance from the
    middle; the rise is what the last gives. Samples in the piece's shadow and on the grey patches are left out, and
    those far off the fit.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    card : CardFit
        A frame card.
    contour_px : ndarray of shape (N, 2)
        The piece's outline.
    """
    along = np.arange(-GROUND_HALF_MM, GROUND_HALF_MM + GROUND_STEP_MM / 2, GROUND_STEP_MM)
    x, y = (axis.ravel() for axis in np.meshgrid(along, along))
    places_px = card.project_mm(np.column_stack([x, y, np.zeros(x.size)]) * card.print_scale_ratio)
    used = _on_bare_ground(places_px, rgb.shape, contour_px)
    for patch in card.spec.grey_patches:
        off_x, off_y = np.abs(x - patch.centre_mm[0]), np.abs(y - patch.centre_mm[1])
        used &= (off_x > PATCH_CLEAR_MM) | (off_y > PATCH_CLEAR_MM)
    if np.count_nonzero(used) < GROUND_LEAST_SAMPLES:
        return None
    light = _sample(rgb, places_px[used])
    x, y = x[used] / GROUND_SCALE_MM, y[used] / GROUND_SCALE_MM
    return _robust_rise(np.column_stack([np.ones(x.size), x, y, x**2 + y**2]), np.log(light + _DARK))


def _on_bare_ground(places_px: PointsPx, shape: tuple[int, ...], contour_px: PointsPx) -> Mask:
    """Which places (N, 2) are in the picture and out of the piece's shadow, (N,)."""
    inside = np.all((places_px >= 2) & (places_px <= np.array(shape[1::-1]) - 3), axis=1)
    middle = contour_px.mean(axis=0)
    apart, rim = places_px - middle, contour_px - middle
    turn = np.arctan2(rim[:, 1], rim[:, 0])
    order = np.argsort(turn, kind='stable')
    reach = np.interp(
        np.arctan2(apart[:, 1], apart[:, 0]), turn[order], np.linalg.norm(rim, axis=1)[order], period=2 * np.pi
    )
    return np.asarray(inside & (np.linalg.norm(apart, axis=1) > (1 + GROUND_CLEAR_RATIO) * reach))


def _sample(rgb: RgbImage, places_px: PointsPx) -> FloatArray:
    """Mean linear light of 3 x 3 px about places (N, 2), (N,)."""
    columns, rows = np.rint(places_px).astype(np.int64).T
    off = np.array([-1, 0, 1])
    codes = rgb[rows[:, None, None] + off[:, None], columns[:, None, None] + off]
    return np.asarray(linear_grey(codes.reshape(len(rows), 9, 3)).mean(axis=1), dtype=np.float64)


def _robust_rise(columns: FloatArray, log_light: FloatArray) -> float:
    """Last coefficient of the least-squares fit, with samples beyond three robust deviations dropped."""
    kept = np.ones(len(log_light), dtype=bool)
    values: FloatArray = np.zeros(columns.shape[1])
    for _ in range(_ROBUST_ROUNDS):
        values = np.asarray(np.linalg.lstsq(columns[kept], log_light[kept], rcond=None)[0], dtype=np.float64)
        off = np.abs(log_light - columns @ values)
        kept = off <= 3 * MAD_TO_SD * float(np.median(off)) + 1e-9
    return float(values[-1])
