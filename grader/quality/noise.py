"""A photo's noise: the scatter of pixels where light is even, on the card's grey patches or in the smoothest parts."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from calib.card_fit import CardFit
from grader.outline.dome_view import NoCard
from grader.quality.constants import (
    NOISE_LEAST_SQUARES,
    NOISE_LIGHT_RANGE,
    NOISE_SQUARE_PX,
    SMOOTH_QUANTILE,
    SMOOTH_QUANTILE_RATIO,
)

_PATCH_INNER_RATIO = 0.8  # Source: leaves the patch's blurred edge out up to a spread of 3 px at 8 px/mm
_LEAST_PER_PATCH = 4  # Source: a patch of 30 px


@dataclass(frozen=True, slots=True)
class Noise:
    """Scatter of single pixels, as a share of white, linear luminance."""

    source: Literal['patches', 'smooth parts', 'none']
    """What told it."""
    at_piece: float | None
    """Standard deviation at the piece's light; None where nothing smooth is in the picture."""
    n_squares: int
    """Squares that were read."""


def measure_noise(linear: GreyImage, card: CardFit | NoCard, piece_light: float) -> Noise:
    """Noise at the light of the piece.

    The square of a sensor's noise grows in a straight line with light (EMVA 1288, photon transfer; from memory). It is
    fitted through the card's grey patches, and read at the piece's light. Without patches the smoothest squares of the
    picture tell it, at their own light.

    Parameters
    ----------
    linear : ndarray of shape (H, W)
        Linear light.
    card : CardFit or NoCard
    piece_light : float
    """
    if not isinstance(card, NoCard):
        noise = _of_patches(linear, card, piece_light)
        if noise is not None:
            return noise
    scatter, _ = _scatter(linear, _all_squares(linear))
    if len(scatter) < NOISE_LEAST_SQUARES:
        return Noise('none', None, len(scatter))
    return Noise('smooth parts', float(np.quantile(scatter, SMOOTH_QUANTILE)) / SMOOTH_QUANTILE_RATIO, len(scatter))


def _of_patches(linear: GreyImage, card: CardFit, piece_light: float) -> Noise | None:
    """Noise by the patches, None where they are too few or too small."""
    lights, squares, n_squares = [], [], 0
    for patch in card.spec.grey_patches:
        half = patch.size_mm / 2 * _PATCH_INNER_RATIO
        offsets = np.array([[-half, half, 0], [half, half, 0], [half, -half, 0], [-half, -half, 0]])
        corners_px = card.project_mm((offsets + np.array([*patch.centre_mm, 0.0])) * card.print_scale_ratio)
        scatter, light = _scatter(linear, _squares_in(corners_px, linear.shape))
        if len(scatter) >= _LEAST_PER_PATCH:
            squares.append(float(np.median(scatter)) ** 2)
            lights.append(float(np.median(light)))
            n_squares += len(scatter)
    if n_squares < NOISE_LEAST_SQUARES:
        return None
    if len(lights) == 1 or np.ptp(lights) < 0.05:
        return Noise('patches', float(np.sqrt(np.mean(squares))), n_squares)
    # Relative errors are alike, so each patch counts by its own size; neither part can be negative.
    weight = 1 / np.asarray(squares)
    columns = np.column_stack([np.ones(len(lights)), lights]) * weight[:, None]
    base, slope = np.linalg.lstsq(columns, np.ones(len(lights)), rcond=None)[0]
    if slope < 0 or base < 0:
        ratio = np.asarray(squares) / (np.asarray(lights) if base < 0 else 1.0)
        base, slope = (0.0, float(np.median(ratio))) if base < 0 else (float(np.median(ratio)), 0.0)
    return Noise('patches', float(np.sqrt(base + slope * piece_light)), n_squares)


def _all_squares(linear: GreyImage) -> np.ndarray:
    """Top-left corners (N, 2) of all squares of a picture as (row, column)."""
    rows = np.arange(0, linear.shape[0] - NOISE_SQUARE_PX + 1, NOISE_SQUARE_PX)
    columns = np.arange(0, linear.shape[1] - NOISE_SQUARE_PX + 1, NOISE_SQUARE_PX)
    return np.stack(np.meshgrid(rows, columns, indexing='ij'), axis=-1).reshape(-1, 2)


def _squares_in(corners_px: PointsPx, shape: tuple[int, ...]) -> np.ndarray:
    """Top-left corners (N, 2) of the squares that lie wholly within a convex quadrilateral of the photo."""
    low = np.floor(corners_px.min(axis=0)).astype(int)
    high = np.ceil(corners_px.max(axis=0)).astype(int)
    columns = np.arange(max(low[0], 0), min(high[0], shape[1] - NOISE_SQUARE_PX), NOISE_SQUARE_PX)
    rows = np.arange(max(low[1], 0), min(high[1], shape[0] - NOISE_SQUARE_PX), NOISE_SQUARE_PX)
    found = np.stack(np.meshgrid(rows, columns, indexing='ij'), axis=-1).reshape(-1, 2)
    side = NOISE_SQUARE_PX - 1
    inside = np.ones(len(found), dtype=bool)
    edges = np.roll(corners_px, -1, axis=0) - corners_px
    area = float(
        (corners_px[:, 0] * np.roll(corners_px[:, 1], -1) - np.roll(corners_px[:, 0], -1) * corners_px[:, 1]).sum()
    )
    for off in ((0, 0), (0, side), (side, 0), (side, side)):
        at = (found + off)[:, ::-1]
        for corner, edge in zip(corners_px, edges, strict=True):
            turn = edge[0] * (at[:, 1] - corner[1]) - edge[1] * (at[:, 0] - corner[0])
            inside &= turn * np.sign(area) >= 0
    return found[inside]


def _scatter(linear: GreyImage, squares: np.ndarray) -> tuple[FloatArray, FloatArray]:
    """Standard deviation about a plane in each square that is neither clipped nor black, and its mean light."""
    along = np.arange(NOISE_SQUARE_PX)
    rows = squares[:, :1, None] + along[None, :, None]
    columns = squares[:, 1:, None] + along[None, None, :]
    values = linear[rows, columns].reshape(len(squares), NOISE_SQUARE_PX**2).astype(np.float64)
    light = values.mean(axis=1)
    used = (light > NOISE_LIGHT_RANGE[0]) & (light < NOISE_LIGHT_RANGE[1])
    values, light = values[used], light[used]
    centred = along - along.mean()
    down, right = (one.ravel() for one in np.meshgrid(centred, centred, indexing='ij'))
    left = values - light[:, None]
    for slope in (down, right):
        left = left - (left @ slope / (slope @ slope))[:, None] * slope
    scatter = np.sqrt((left**2).sum(axis=1) / (left.shape[1] - 3)) if len(left) else np.zeros(0)
    return np.asarray(scatter[scatter > 0]), np.asarray(light[scatter > 0])
