"""Lays a close-up over another of the same field in another light: what stands out is where it was."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray
from grader.marks.close_up_constants import (
    REGISTER_BLUR_PX,
    REGISTER_CEILING,
    REGISTER_GAIN,
    REGISTER_REACH_RATIO,
    REGISTER_REDUCTION,
    REGISTER_ROUNDS,
    REGISTER_SIGNIFICANCE,
    REGISTER_WARP_RATIO,
    REGISTER_WHITENING,
)
from grader.marks.close_up_ground import Ground, Map, blur

_FAINT = 1e-6  # Source: share of the strongest wave below which a wave is rounding
_CONVERGED = 1e-5  # Source: a step that moves no corner of a 1600 px photo by 0.02 px


@dataclass(frozen=True, slots=True, eq=False)
class Registration:
    """How to lay one photo over another."""

    to_first: FloatArray
    """(2, 3) affine, px of the other photo to px of the first, read-only."""
    is_moved: bool
    """Whether the photos show that they do not lie over each other as they are; else `to_first` changes nothing."""


def register(first: Ground, other: Ground) -> Registration:
    """Lay `other` over `first`; both of one size, in px.

    Compared is how strongly each pixel stands out, not its brightness: a scratch is bright in light from the front
    and dark in light from behind. Two lights show partly different things, so the photos are taken to lie over each
    other as they are unless one shift fits clearly better (whitened cross-correlation, after Kuglin and Hines 1975,
    from memory). Then an affine map near that shift is fitted by maximising the correlation coefficient
    (Evangelidis and Psarakis 2008, doi 10.1109/TPAMI.2008.113, as in OpenCV).
    """
    one, two = _standing_out(first), _standing_out(other)
    shift, peak, in_place = _shift(one, two)
    is_moved = peak >= REGISTER_SIGNIFICANCE and peak >= REGISTER_GAIN * in_place
    matrix = np.eye(2, 3)
    if is_moved:
        matrix = _refined(one, two, shift)
        # pixel centres of the reduced map lie half a reduced pixel, less half a pixel, further in
        offset = (REGISTER_REDUCTION - 1) / 2
        matrix[:, 2] = REGISTER_REDUCTION * matrix[:, 2] + offset - matrix[:, :2] @ (offset, offset)
    matrix.setflags(write=False)
    return Registration(matrix, is_moved)


def _standing_out(ground: Ground) -> Map:
    """Reduced and blurred map of how much each pixel stands out, mean 0; one scuff must not outweigh all else."""
    strength = np.log(np.clip(ground.energy, 1, REGISTER_CEILING))
    height, width = strength.shape
    size = (max(1, width // REGISTER_REDUCTION), max(1, height // REGISTER_REDUCTION))
    small = cv2.resize(blur(strength, REGISTER_BLUR_PX * REGISTER_REDUCTION), size, interpolation=cv2.INTER_AREA)
    return np.asarray(small - small.mean(), dtype=np.float32)


def _shift(one: Map, two: Map) -> tuple[FloatArray, float, float]:
    """Best shift (x, y), reduced px, from `two` onto `one`; its height and that of no shift, in standard deviations."""
    height, width = one.shape
    window = np.outer(np.hanning(height + 2)[1:-1], np.hanning(width + 2)[1:-1])
    spectrum = np.fft.rfft2(one * window) * np.conj(np.fft.rfft2(two * window))
    size = np.abs(spectrum)
    wave = np.fft.fftfreq(height)[:, None] ** 2 + np.fft.rfftfreq(width)[None] ** 2
    smooth = np.exp(-2 * (np.pi * REGISTER_BLUR_PX) ** 2 * wave)
    whitened = smooth * spectrum / (size + _FAINT * size.max() + np.finfo(float).tiny) ** REGISTER_WHITENING
    surface = np.fft.fftshift(np.fft.irfft2(whitened, s=one.shape))
    surface /= surface.std() + np.finfo(float).tiny
    reach_y, reach_x = max(1, round(REGISTER_REACH_RATIO * height)), max(1, round(REGISTER_REACH_RATIO * width))
    middle_y, middle_x = height // 2, width // 2
    near = surface[middle_y - reach_y : middle_y + reach_y + 1, middle_x - reach_x : middle_x + reach_x + 1]
    in_place = surface[middle_y - 1 : middle_y + 2, middle_x - 1 : middle_x + 2]
    row, column = np.unravel_index(int(np.argmax(near)), near.shape)
    shift = np.array([column - reach_x, row - reach_y], dtype=np.float64)
    return shift, float(near.max()), float(in_place.max())


def _refined(one: Map, two: Map, shift: FloatArray) -> FloatArray:
    """Affine map (2, 3), reduced px of `two` to those of `one`."""
    plain = np.hstack([np.eye(2), shift[:, None]])
    inverse = np.hstack([np.eye(2), -shift[:, None]]).astype(np.float32)
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, REGISTER_ROUNDS, _CONVERGED)
    whole = np.ones(one.shape, np.uint8)
    try:
        before = cv2.computeECC(one, _moved(two, inverse))
        after, fitted = cv2.findTransformECC(one, two, inverse, cv2.MOTION_AFFINE, stop, whole, 1)
    except cv2.error:  # the correlation has no maximum near the shift
        return plain
    affine = cv2.invertAffineTransform(np.asarray(fitted, dtype=np.float64))
    reach_px = max(one.shape)
    moved = affine @ np.array([reach_px / 2, reach_px / 2, 1]) - plain @ np.array([reach_px / 2, reach_px / 2, 1])
    near = np.abs(affine[:, :2] - np.eye(2)).max() <= REGISTER_WARP_RATIO and np.hypot(*moved) <= 4
    return np.asarray(affine if near and after > before else plain)


def _moved(image: Map, inverse: np.ndarray) -> Map:
    """Image seen through a map that tells where each pixel comes from."""
    size = (image.shape[1], image.shape[0])
    return np.asarray(cv2.warpAffine(image, inverse, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP))
