"""Finds marks on close-ups of glass, without card and without outline, under any light or two lights."""

import cv2
import numpy as np

from calib.arrays import RgbImage
from grader.marks.close_up_constants import LARGEST_CLOSE_UP_PX, LEAST_SHAPE_RATIO, SMALLEST_CLOSE_UP_PX
from grader.marks.close_up_ground import see_ground
from grader.marks.close_up_judge import CloseUpKind, CloseUpMark, judge
from grader.marks.close_up_lights import SeenMark, marks_in_two_lights
from grader.marks.close_up_search import find_pieces

__all__ = [
    'CloseUpKind',
    'CloseUpMark',
    'SeenMark',
    'find_close_up_marks',
    'find_marks_in_two_lights',
    'may_be_one_field',
]


def find_close_up_marks(rgb: RgbImage) -> tuple[CloseUpMark, ...]:
    """Scratches, contusions and spots on a close-up, the surest first; empty where nothing stands out.

    The undamaged glass is estimated from the photo: a smooth background that haze may bend and marks may not, and
    the local noise, which includes the fine texture of the glass. What stands out of it is judged by its squared
    signal-to-noise ratio.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
        Photos larger than LARGEST_CLOSE_UP_PX are reduced for the search; polygons are in px of this array.
    """
    _check(rgb)
    if min(rgb.shape[:2]) < SMALLEST_CLOSE_UP_PX:
        return ()
    small = _moderate(rgb)
    ground = see_ground(small)
    marks = [judge(piece, ground) for piece in find_pieces(ground)]
    marks.sort(key=lambda m: (-m.salience, *m.polygon_px[0]))
    return tuple(_in_px_of(rgb, small, mark) for mark in marks)


def find_marks_in_two_lights(rgb: RgbImage, other_rgb: RgbImage) -> tuple[SeenMark, ...]:
    """Marks of one field photographed in two lights (such as from the front and from behind), the surest first.

    Parameters
    ----------
    rgb, other_rgb : ndarray of shape (H, W, 3), uint8
        Of like shape, see `may_be_one_field`; the other is brought to the size of the first. Polygons are in px of
        the first.

    Raises
    ------
    ValueError
        The shapes differ too much to show one field.
    """
    _check(rgb)
    _check(other_rgb)
    if not may_be_one_field(rgb, other_rgb):
        raise ValueError(f'photos of one field must be of like shape, got {rgb.shape} and {other_rgb.shape}')
    if min(rgb.shape[:2]) < SMALLEST_CLOSE_UP_PX:
        return ()
    small = _moderate(rgb)
    other = _resized(other_rgb, (small.shape[1], small.shape[0]))
    seen, _ = marks_in_two_lights(small, other)
    return tuple(SeenMark(_in_px_of(rgb, small, s.mark), s.in_first, s.in_other) for s in seen)


def may_be_one_field(rgb: RgbImage, other_rgb: RgbImage) -> bool:
    """Whether two photos are of like shape (width to height), as photos of one field from one place are."""
    ratio = rgb.shape[0] * other_rgb.shape[1] / (rgb.shape[1] * other_rgb.shape[0])
    return bool(min(ratio, 1 / ratio) >= LEAST_SHAPE_RATIO)


def _check(rgb: RgbImage) -> None:
    if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype != np.uint8:
        raise ValueError(f'rgb must be uint8 of shape (H, W, 3), got {rgb.dtype} {rgb.shape}')


def _moderate(rgb: RgbImage) -> RgbImage:
    """Photo, reduced where its longer side is above LARGEST_CLOSE_UP_PX."""
    scale = min(1.0, LARGEST_CLOSE_UP_PX / max(rgb.shape[:2]))
    return _resized(rgb, (round(rgb.shape[1] * scale), round(rgb.shape[0] * scale)))


def _resized(rgb: RgbImage, size: tuple[int, int]) -> RgbImage:
    """Photo of (width, height) px; the same array where it has that size."""
    if size == (rgb.shape[1], rgb.shape[0]):
        return rgb
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _in_px_of(rgb: RgbImage, small: RgbImage, mark: CloseUpMark) -> CloseUpMark:
    """Mark of the reduced photo in px of the photo."""
    if small.shape == rgb.shape:
        return mark
    return mark.enlarged(rgb.shape[1] / small.shape[1], rgb.shape[0] / small.shape[0])
