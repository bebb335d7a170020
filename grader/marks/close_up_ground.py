"""What the undamaged glass of a close-up looks like: its brightness and its noise, from the photo itself."""

from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np

from calib.arrays import RgbImage
from calib.constants import MAD_TO_SD
from grader.marks.close_up_constants import (
    BRIGHT_LEVEL,
    ENERGY_SIGMA_PX,
    GROUND_OUTLIER,
    GROUND_REDUCTION,
    GROUND_ROUNDS,
    GROUND_SIGMAS_PX,
    GROUND_WEIGHT_FLOOR,
    NOISE_TILE_PX,
    QUANTISATION_CODE,
    SMOOTH_SIGMA_PX,
    TREND_DEGREE,
    TREND_ROUNDS,
    TREND_SAMPLES,
)

_FLATNESS = 1e-3  # Source: a thousandth of the spread of a full window, for windows of one pixel
_FEWEST_SAMPLES = 200  # Source: median of so many normal samples known to 9 %

Map: TypeAlias = np.ndarray
"""(H, W) float32."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """A close-up against its own undamaged glass. All maps are (H, W) float32."""

    residual_code: Map
    """Photo minus background, in 8-bit code steps; bright marks are positive."""
    noise_code: Map
    """Local robust standard deviation of the smoothed residual, code steps."""
    signed: Map
    """Smoothed residual in units of the local noise."""
    energy: Map
    """Root of the blurred squared residual in units of its local median: 1 on clean glass, for both signs alike."""
    clean: Map
    """1 where the pixel looks like undamaged glass, else 0."""
    bright_ratio: float
    """Share of the pixels that stand out which are bright: near 1 in light from the front, near 0 from behind."""


def see_ground(rgb: RgbImage) -> Ground:
    """Background, residual and noise of a close-up.

    Works on the coded values, in which the noise of a camera is nearly the same at all brightnesses.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    """
    grey_code = rgb.mean(axis=2, dtype=np.float32)
    background_code, clean = _background(grey_code)
    residual = grey_code - background_code
    smooth = blur(residual, SMOOTH_SIGMA_PX)
    noise = local_noise(smooth, clean, NOISE_TILE_PX)
    signed = smooth / noise
    energy = relative_energy(residual, clean, ENERGY_SIGMA_PX)
    return Ground(residual, noise, signed, energy, clean, _bright_ratio(signed))


def _bright_ratio(signed: Map) -> float:
    """Share of bright among the pixels that stand out, 0 to 1; half a pixel of each kind is added, so 0.5 for none."""
    n_bright = float(np.count_nonzero(signed > BRIGHT_LEVEL)) + 0.5
    n_dark = float(np.count_nonzero(signed < -BRIGHT_LEVEL)) + 0.5
    return n_bright / (n_bright + n_dark)


def relative_energy(residual_code: Map, clean: Map, sigma_px: float) -> Map:
    """Root of the blurred squared residual, in units of its local median over clean glass."""
    energy = np.sqrt(np.maximum(blur(residual_code * residual_code, sigma_px), 0))
    return np.asarray(energy * np.float32(MAD_TO_SD) / local_noise(energy, clean, NOISE_TILE_PX))


def blur(image: Map, sigma_px: float) -> Map:
    """Gaussian blur, float32, edges mirrored."""
    return np.asarray(cv2.GaussianBlur(image, (0, 0), sigma_px), dtype=np.float32)


def local_noise(values: Map, clean: Map, tile_px: int) -> Map:
    """Robust standard deviation of values about zero, tile by tile over clean glass, smoothly joined.

    A tile is pulled half way (geometric mean) to the photo's own value, where that is larger, so that a tile of
    featureless glass does not make its faintest texture significant.
    """
    height, width = values.shape
    rows, columns = max(1, round(height / tile_px)), max(1, round(width / tile_px))
    overall = _spread(values[::3, ::3], clean[::3, ::3], float(np.median(np.abs(values[::3, ::3]))))
    tiles = np.empty((rows, columns), np.float32)
    for i in range(rows):
        for j in range(columns):
            window = (
                slice(i * height // rows, (i + 1) * height // rows, 2),
                slice(j * width // columns, (j + 1) * width // columns, 2),
            )
            tiles[i, j] = _spread(values[window], clean[window], overall / MAD_TO_SD)
    tiles = np.sqrt(tiles * np.maximum(tiles, overall))
    return np.asarray(cv2.resize(blur(tiles, 0.8), (width, height), interpolation=cv2.INTER_LINEAR))


def _spread(values: Map, clean: Map, otherwise: float) -> float:
    """Robust standard deviation about zero; ``otherwise`` is the median to use where too little is clean."""
    kept = np.abs(values[clean > 0])
    median = float(np.median(kept)) if kept.size >= _FEWEST_SAMPLES else otherwise
    return max(MAD_TO_SD * median, QUANTISATION_CODE)


def local_plane(values: Map, weight: Map, sigma_px: float) -> Map:
    """Value at each pixel of the plane fitted to its surroundings with Gaussian times given weights.

    Unlike a weighted mean it has no error on a slope, neither at the border of the photo nor beside a mark.
    """
    height, width = values.shape
    y, x = (np.asarray(g, dtype=np.float32) / np.float32(sigma_px) for g in np.mgrid[:height, :width])

    def total(image: Map) -> Map:
        return np.asarray(cv2.GaussianBlur(image, (0, 0), sigma_px, borderType=cv2.BORDER_CONSTANT))

    wx, wy = weight * x, weight * y
    m0, mx, my = total(weight), total(wx), total(wy)
    ax, ay = mx / m0, my / m0
    cxx, cxy, cyy = total(wx * x) / m0 - ax * ax, total(wx * y) / m0 - ax * ay, total(wy * y) / m0 - ay * ay
    mean = total(weight * values) / m0
    cx, cy = total(wx * values) / m0 - ax * mean, total(wy * values) / m0 - ay * mean
    spread = cxx * cyy - cxy * cxy + np.float32(_FLATNESS)
    slope_x, slope_y = (cyy * cx - cxy * cy) / spread, (cxx * cy - cxy * cx) / spread
    return np.asarray(mean + slope_x * (x - ax) + slope_y * (y - ay), dtype=np.float32)


def _trend(small: Map) -> Map:
    """Polynomial of degree TREND_DEGREE in x and y, fitted robustly (re-weighted least squares, Cauchy weights)."""
    height, width = small.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    powers = [(i, j) for i in range(TREND_DEGREE + 1) for j in range(TREND_DEGREE + 1 - i)]
    terms = np.stack([(x**i * y**j).ravel() for i, j in powers], axis=1)
    values = small.ravel().astype(np.float64)
    some = slice(None, None, max(1, values.size // TREND_SAMPLES))
    weight = np.ones(len(values[some]))
    for _ in range(TREND_ROUNDS):
        rows = terms[some] * weight[:, None]
        factors = np.linalg.solve(rows.T @ rows, rows.T @ (values[some] * weight))
        away = np.abs(values[some] - terms[some] @ factors)
        spread = max(MAD_TO_SD * float(np.median(away)), QUANTISATION_CODE)
        weight = 1 / np.sqrt(1 + (away / (GROUND_OUTLIER * spread)) ** 2)
    return np.asarray((terms @ factors).reshape(height, width), dtype=np.float32)


def _background(grey_code: Map) -> tuple[Map, Map]:
    """Smooth background and the clean pixels.

    A smooth trend over the whole photo first (fall-off of the light), then local planes, in which a
    pixel counts less the further it lies from the background of the round before; the blur shrinks from round to
    round, so that haze is followed and marks are not.
    """
    height, width = grey_code.shape
    small_size = (max(1, width // GROUND_REDUCTION), max(1, height // GROUND_REDUCTION))
    small: Map = cv2.resize(grey_code, small_size, interpolation=cv2.INTER_AREA)
    trend = _trend(small)
    small = small - trend
    background = np.zeros_like(small)
    weight = np.ones_like(small)
    for sigma_px in GROUND_SIGMAS_PX:
        sigma = sigma_px / GROUND_REDUCTION
        for _ in range(GROUND_ROUNDS):
            residual = small - background
            spread = max(MAD_TO_SD * float(np.median(np.abs(residual - np.median(residual)))), QUANTISATION_CODE)
            away: Map = cv2.dilate(np.abs(residual), np.ones((3, 3), np.uint8)) / (GROUND_OUTLIER * spread)
            weight = 1 / (1 + away**4) + np.float32(GROUND_WEIGHT_FLOOR)
            background = local_plane(small, weight, sigma)
    clean = (weight > 0.5).astype(np.float32)
    full = (width, height)
    return (
        np.asarray(cv2.resize(background + trend, full, interpolation=cv2.INTER_CUBIC)),
        np.asarray(cv2.resize(clean, full, interpolation=cv2.INTER_NEAREST)),
    )
