"""Scratches and chips of known size drawn onto a photo as its own camera would show them: in linear light, with its blur."""

import cv2
import numpy as np
from scipy.special import ndtr

from calib.linear_light import encode_srgb, linear_rgb

_FINE = 8  # drawn px a photo px, for the coverage of a disc's edge


def line_light(shape: tuple[int, int], start_px, end_px, width_px: float, blur_px: float) -> np.ndarray:
    """Share of a scratch's light in each pixel, (h, w): a straight band under a Gaussian of the spread `blur_px`."""
    y, x = np.indices(shape)
    start, end = np.asarray(start_px, float), np.asarray(end_px, float)
    length = np.linalg.norm(end - start)
    along = (end - start) / length
    right = (x - start[0]) * along[0] + (y - start[1]) * along[1]
    off = (x - start[0]) * -along[1] + (y - start[1]) * along[0]
    band = ndtr((off + width_px / 2) / blur_px) - ndtr((off - width_px / 2) / blur_px)
    return band * (ndtr(right / blur_px) - ndtr((right - length) / blur_px))


def disc_light(shape: tuple[int, int], centre_px, diameter_px: float, blur_px: float) -> np.ndarray:
    """Share of a chip's light in each pixel, (h, w): a disc under a Gaussian; `blur_px` includes the pixel's square."""
    half = int(np.ceil(diameter_px / 2 + 4 * blur_px)) + 1
    fine = (np.arange((2 * half + 1) * _FINE) + 0.5) / _FINE - half - 0.5
    off = np.asarray(centre_px, float) - np.rint(centre_px)
    disc = (np.hypot(fine[None] - off[0], fine[:, None] - off[1]) <= diameter_px / 2).astype(np.float64)
    cover = disc.reshape(2 * half + 1, _FINE, 2 * half + 1, _FINE).mean(axis=(1, 3))
    spread = np.sqrt(max(blur_px**2 - 1 / 12, 1e-4))
    cover = cv2.GaussianBlur(np.pad(cover, half), (0, 0), spread)
    column, row = np.rint(centre_px).astype(int) - 2 * half
    whole = np.zeros(shape)
    rows = slice(max(row, 0), min(row + len(cover), shape[0]))
    columns = slice(max(column, 0), min(column + len(cover), shape[1]))
    whole[rows, columns] = cover[rows.start - row : rows.stop - row, columns.start - column : columns.stop - column]
    return whole


def add_light(rgb: np.ndarray, light: np.ndarray) -> np.ndarray:
    """The photo (h, w, 3) with white light (h, w) added before it was coded."""
    return np.round(255 * encode_srgb(np.clip(linear_rgb(rgb) + light[..., None], 0, 1))).astype(np.uint8)
