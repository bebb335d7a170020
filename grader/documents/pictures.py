"""Photos and drawings as pictures of a document."""

from io import BytesIO

import cv2
import numpy as np
from PIL import Image

from calib.arrays import FloatArray, PointsPx, RgbImage
from grader.documents.blocks import Picture
from grader.documents.constants import (
    PICTURE_JPEG_QUALITY,
    SCALE_BAR_RATIO,
    SCALE_BARS_MM,
    SCALE_SHARES,
    STRIP_PX,
    STRIP_TEXT_PX,
)
from grader.report.canvas import Canvas, Text
from grader.report.constants import INK, PAPER
from grader.report.wording import scale_bar_words

_WHITE = 255


def picture_of(rgb: RgbImage, words: str) -> Picture:
    """Return an RGB picture (H, W, 3) for a document."""
    data = BytesIO()
    # Full colour resolution: thin coloured lines would fade at half.
    Image.fromarray(rgb).save(data, 'JPEG', quality=PICTURE_JPEG_QUALITY, subsampling=0)
    height, width = rgb.shape[:2]
    return Picture(data.getvalue(), width, height, words)


def reduced(rgb: RgbImage, most_px: int) -> RgbImage:
    """Return a picture whose larger side is `most_px` at most; smaller ones stay as they are."""
    height, width = rgb.shape[:2]
    scale = most_px / max(height, width)
    if scale >= 1:
        return rgb
    size = max(round(width * scale), 1), max(round(height * scale), 1)
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def cut_round(rgb: RgbImage, points_px: PointsPx, room: float) -> RgbImage:
    """Return the part of a photo round points (N, 2), with `room` times their extent beyond each side."""
    height, width = rgb.shape[:2]
    low, high = points_px.min(axis=0), points_px.max(axis=0)
    more = room * (high - low)
    x0, y0 = np.maximum(np.floor(low - more), 0).astype(int)
    x1, y1 = np.minimum(np.ceil(high + more) + 1, [width, height]).astype(int)
    return rgb[y0:y1, x0:x1]


def window(rgb: RgbImage, linear: FloatArray, centre_px: FloatArray, side_px: int) -> RgbImage:
    """Return a square part of a photo (H, W, 3), turned and scaled, (S, S, 3); paper where the photo has no more.

    Enlarging blends neighbouring pixels in a straight line, so that no detail is made up.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
    linear : ndarray of shape (2, 2)
        Turn and scale from the photo's pixels to those of the part.
    centre_px : ndarray of shape (2,)
        Point of the photo that comes to the middle.
    side_px : int
        Columns and rows of the part.
    """
    scale = float(np.hypot(*linear[0]))
    if scale < 1:
        # Shrunk by area first: a turn alone would skip pixels.
        height, width = rgb.shape[:2]
        size = max(round(width * scale), 1), max(round(height * scale), 1)
        rgb = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        by = np.array([size[0] / width, size[1] / height])
        # Pixel centres lie half a pixel in: x' + 0.5 = by (x + 0.5).
        linear, centre_px = linear / by, by * (centre_px + 0.5) - 0.5
    middle = (side_px - 1) / 2
    shift = np.array([middle, middle]) - linear @ centre_px
    return np.asarray(
        cv2.warpAffine(
            rgb, np.column_stack([linear, shift]), (side_px, side_px), flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_CONSTANT, borderValue=PAPER,
        ),
        dtype=np.uint8,
    )  # fmt: skip


def with_scale_strip(rgb: RgbImage, mm_per_px: float | None, share_per_px: float) -> RgbImage:
    """Return a picture with a strip below it that shows how long a millimetre is.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
    mm_per_px : float or None
        Millimetres to a pixel of the picture; None without a scale.
    share_per_px : float
        Share of the piece's width to a pixel, for pictures without millimetres.
    """
    height, width = rgb.shape[:2]
    strip = np.full((STRIP_PX, width, 3), _WHITE, dtype=np.uint8)
    canvas = Canvas(np.vstack([rgb, strip]))
    if mm_per_px is None:
        ratio = _longest(SCALE_SHARES, share_per_px, width)
        long_px, words = ratio / share_per_px, _share_words(ratio)
    else:
        length_mm = _longest(SCALE_BARS_MM, mm_per_px, width)
        long_px, words = length_mm / mm_per_px, scale_bar_words(length_mm, 0.0)
    y, left = height + STRIP_PX / 2, 3.0
    tick = STRIP_TEXT_PX / 3
    canvas.line([[left, y - tick], [left, y], [left + long_px, y], [left + long_px, y - tick]], INK, 3.0)
    canvas.texts([Text((left + long_px + 14, y - tick / 2), words, STRIP_TEXT_PX)])
    return canvas.rgb


def _longest(lengths: tuple[float, ...], per_px: float, width_px: int) -> float:
    most = SCALE_BAR_RATIO * width_px * per_px
    return max((one for one in lengths if one <= most), default=lengths[0])


def _share_words(ratio: float) -> str:
    return f"{100 * ratio:g} % of the width"
