"""The smallest scratch and chip that a photo can show, from its own blur, background and scale.

A mark is looked for in the best way there is for a known shape, a matched filter: a weighted mean of the pixels along
and across it, less what lies beside. What that filter gives where there is no mark is the background against which a
mark must stand out: noise, grain of JPEG and the design's own texture together. The smallest mark is the one whose
expected response is DETECTION_SPREADS standard deviations of that background. (Detection limit as in Currie, Anal.
Chem. 40 (1968) 586, and ISO 11843: a multiple of the blank's standard deviation; the multiple of 5 by Rose, J. Opt.
Soc. Am. 38 (1948) 196: all from memory.)
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from scipy.special import ndtr

from calib.arrays import FloatArray, GreyImage, Mask
from calib.constants import MAD_TO_SD
from calib.linear_light import decode_srgb, encode_srgb
from grader.constants import LEVELS_8_BIT
from grader.quality.constants import CLIPPED_LIGHT
from grader.quality.limit_constants import (
    BLOCK_PX,
    CHIP_SCALES,
    DETECTION_SPREADS,
    LARGEST_SCALES,
    LEAST_BLOCK_SHARE,
    LEAST_CODE_STEPS,
    LINE_LENGTH_MM,
    LINE_SCALES,
    MOST_LINE_PX,
    PLAIN_QUANTILE,
    SIZE_STEP_RATIO,
    SMALLEST_PX,
    SURROUND_RATIO,
)

_NO_ROOM = 1e-3  # Source: a thousandth of a mark's light is no mark


@dataclass(frozen=True, slots=True)
class Limits:
    """Smallest marks that would show, in px of the photo; infinite where none of any size would."""

    scratch_px: float
    """Width of a scratch over the middle half of the piece's background: half of it is plainer."""
    plain_scratch_px: float
    """The same over the plainest tenth."""
    chip_px: float
    """Diameter of a chip over the middle of the background."""
    plain_chip_px: float
    """The same over the plainest tenth."""


def smallest_marks(
    part: GreyImage,
    judged: Mask,
    blur_px: float,
    px_per_mm: float,
    scratch_light: float,
    chip_light: float,
    least_light: float = 0.0,
) -> Limits | None:
    """Smallest marks, None where no part of the piece can be judged.

    Parameters
    ----------
    part : ndarray of shape (h, w)
        Linear light of the piece.
    judged : ndarray of shape (h, w), bool
        The piece, without what mirror images and steep glass hide.
    blur_px : float
        Spread of light.
    px_per_mm : float
        Scale, for the length of the scratch that is looked for.
    scratch_light, chip_light : float
        Light that a wide scratch and a chip add, on the photo's scale; above 0.
    least_light : float
        Light by which a mark must change its middle at least, see `code_step`.
    """
    line_px = int(np.clip(round(LINE_LENGTH_MM * px_per_mm), 3, MOST_LINE_PX))
    lines = [(s * blur_px, line_backgrounds(part, judged, s * blur_px, line_px)) for s in LINE_SCALES]
    spots = [(s * blur_px, spot_backgrounds(part, judged, s * blur_px)) for s in CHIP_SCALES]
    if lines[0][1].size == 0:
        return None
    # Where little room is left under white, a mark adds less: its background counts for more.
    level = np.median(_blocks(part, judged), axis=1)
    line_room, spot_room = (
        np.maximum(room_under_white(level, light), _NO_ROOM) for light in (scratch_light, chip_light)
    )
    lines = [(scale, spread / line_room) for scale, spread in lines]
    spots = [(scale, spread / spot_room) for scale, spread in spots]
    return Limits(
        *_sizes(line_response, line_peak, lines, blur_px, scratch_light, least_light),
        *_sizes(spot_response, spot_peak, spots, blur_px, chip_light, least_light),
    )


def line_backgrounds(part: GreyImage, judged: Mask, scale_px: float, line_px: int) -> FloatArray:
    """Standard deviation of the line filter's response in each block of the piece, (N,)."""
    across = _line_filter(scale_px)
    along = np.full(line_px, 1.0 / line_px)
    found = [
        block_spreads(np.asarray(cv2.sepFilter2D(part, cv2.CV_32F, *pair), dtype=np.float32), judged)
        for pair in ((across, along), (along, across))
    ]
    return np.asarray(np.sqrt((found[0] ** 2 + found[1] ** 2) / 2))


def spot_backgrounds(part: GreyImage, judged: Mask, scale_px: float) -> FloatArray:
    """Standard deviation of the spot filter's response in each block of the piece, (N,)."""
    inner = cv2.GaussianBlur(part, (0, 0), scale_px)
    outer = cv2.GaussianBlur(part, (0, 0), SURROUND_RATIO * scale_px)
    return block_spreads(inner - outer, judged)


def block_spreads(response: GreyImage, judged: Mask) -> FloatArray:
    """Robust standard deviation in each block that lies mostly on judged glass, (N,)."""
    values = _blocks(response, judged)
    middle = np.median(values, axis=1, keepdims=True)
    return np.asarray(MAD_TO_SD * np.median(np.abs(values - middle), axis=1), dtype=np.float64)


def room_under_white(level: GreyImage, light: float) -> FloatArray:
    """Share of a mark's light that fits under white where the glass has a level already, 0 to 1, shape as `level`."""
    return np.asarray(np.clip((CLIPPED_LIGHT - level) / light, 0.0, 1.0), dtype=np.float64)


def _blocks(picture: GreyImage, judged: Mask) -> GreyImage:
    """Pixels of each block that lies mostly on judged glass, (N, K).

    Every second pixel is read: neighbours hardly differ after the filters.
    """
    side = BLOCK_PX // 2
    n_down, n_right = picture.shape[0] // BLOCK_PX, picture.shape[1] // BLOCK_PX
    cut = (slice(0, n_down * BLOCK_PX, 2), slice(0, n_right * BLOCK_PX, 2))
    blocks, used = (
        one[cut].reshape(n_down, side, n_right, side).transpose(0, 2, 1, 3).reshape(n_down * n_right, side * side)
        for one in (picture, judged)
    )
    return np.asarray(blocks[used.mean(axis=1) >= LEAST_BLOCK_SHARE], dtype=np.float32)


def line_response(width_px: float, blur_px: float, scale_px: float) -> float:
    """Response of the line filter on a blurred line that adds 1 to the light, in its middle."""
    weights = _line_filter(scale_px)
    x = np.arange(len(weights)) - len(weights) // 2
    line = ndtr((x + width_px / 2) / blur_px) - ndtr((x - width_px / 2) / blur_px)
    return float(weights @ line)


def spot_response(diameter_px: float, blur_px: float, scale_px: float) -> float:
    """Response of the spot filter in the middle of a blurred disc that adds 1 to the light.

    A disc of radius r under a Gaussian of the spread s has 1 - exp(-r^2 / (2 s^2)) in its middle; the disc's own blur
    and the filter's are one Gaussian together.
    """
    square = diameter_px**2 / 8
    inner = blur_px**2 + scale_px**2
    outer = blur_px**2 + (SURROUND_RATIO * scale_px) ** 2
    return float(np.exp(-square / outer) - np.exp(-square / inner))


def _line_filter(scale_px: float) -> FloatArray:
    """Weights across a thin line: its own blurred profile, less their mean, so that even light gives nothing."""
    half = int(np.ceil(4 * scale_px + 1))
    x = np.arange(-half, half + 1)
    weights = np.exp(-0.5 * (x / scale_px) ** 2)
    weights /= weights.sum()
    return np.asarray(weights - 1 / len(weights))


def line_peak(width_px: float, blur_px: float) -> float:
    """Light in the middle of a blurred line that adds 1."""
    return float(2 * ndtr(width_px / 2 / blur_px) - 1)


def spot_peak(diameter_px: float, blur_px: float) -> float:
    """Light in the middle of a blurred disc that adds 1."""
    return float(1 - np.exp(-(diameter_px**2) / 8 / blur_px**2))


def code_step(light: float) -> float:
    """Linear light of LEAST_CODE_STEPS steps of the 8-bit sRGB code at a light."""
    code = float(encode_srgb(np.array(light))) * LEVELS_8_BIT
    low, high = (max(code + step * LEAST_CODE_STEPS, 0.0) / LEVELS_8_BIT for step in (-0.5, 0.5))
    return float(decode_srgb(np.array(high)) - decode_srgb(np.array(low)))


def _sizes(
    response: Callable[[float, float, float], float],
    peak: Callable[[float, float], float],
    backgrounds: Sequence[tuple[float, FloatArray]],
    blur_px: float,
    light: float,
    least_light: float,
) -> tuple[float, float]:
    """Smallest size over the middling and over the plainest background; infinite where none shows.

    Parameters
    ----------
    response : callable
        Response to a mark of size, blur and scale of the filter, in px, that adds 1 to the light.
    peak : callable
        Light in the middle of a mark of size and blur that adds 1.
    backgrounds : sequence of (scale in px, standard deviation in each block)
    blur_px : float
    light : float
        Light that the mark adds.
    least_light : float
        Light by which it must change its middle.
    """
    found = []
    largest_px = LARGEST_SCALES * max(scale for scale, _ in backgrounds)
    for share in (0.5, PLAIN_QUANTILE):
        levels = [(scale, float(np.quantile(spread, share))) for scale, spread in backgrounds]
        size_px = SMALLEST_PX
        while size_px <= largest_px:
            stands_out = any(light * response(size_px, blur_px, s) >= DETECTION_SPREADS * b for s, b in levels)
            if stands_out and light * peak(size_px, blur_px) >= least_light:
                break
            size_px *= SIZE_STEP_RATIO
        found.append(size_px if size_px <= largest_px else float('inf'))
    return found[0], found[1]
