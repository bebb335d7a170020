"""Where the ground beside the piece may be seen: the clear field of the card, or all but card and lamp."""

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import Mask, PointsPx, RgbImage
from calib.card_fit import CardFit
from grader.outline.constants import (
    CARD_MARGIN_MM,
    FIELD_MARGIN_MM,
    LAMP_LEVEL,
    LAMP_MARGIN_RATIO,
    LAMP_SPAN_RATIO,
    PATCH_MARGIN_MM,
)
from grader.outline.dome_view import NoCard


def ground_mask(rgb: RgbImage, card: CardFit | NoCard, scale: float) -> Mask:
    """Places where only ground or the piece can be.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        The photo, or a copy of it reduced by `scale`.
    card : CardFit or NoCard
        Of the full photo.
    scale : float
        Px of `rgb` for each px of the photo.

    Returns
    -------
    ndarray of shape (H, W)
        bool, False on print and lamps.
    """
    byte = np.full(rgb.shape[:2], 1, dtype=np.uint8)
    if isinstance(card, NoCard):
        return _without_lamp(rgb, byte > 0)
    if min(card.spec.clear_field_mm) <= 0:
        width, height = card.spec.outer_size_mm
        _fill(byte, _rectangle_px(card, (0.0, 0.0), width + 2 * CARD_MARGIN_MM, height + 2 * CARD_MARGIN_MM, scale), 0)
        return _without_lamp(rgb, byte > 0)
    byte[:] = 0
    width, height = card.spec.clear_field_mm
    _fill(byte, _rectangle_px(card, (0.0, 0.0), width - 2 * FIELD_MARGIN_MM, height - 2 * FIELD_MARGIN_MM, scale), 1)
    for patch in card.spec.grey_patches:
        side = patch.size_mm + 2 * PATCH_MARGIN_MM
        _fill(byte, _rectangle_px(card, patch.centre_mm, side, side, scale), 0)
    return byte > 0


def _rectangle_px(card: CardFit, centre_mm: tuple[float, float], width: float, height: float, scale: float) -> PointsPx:
    """Corners of a rectangle on the card, (4, 2), px of the reduced picture."""
    half = np.array([[-width, -height], [width, -height], [width, height], [-width, height]]) / 2
    corners_mm = np.column_stack([half + np.asarray(centre_mm), np.zeros(4)]) * card.print_scale_ratio
    return to_scale(card.project_mm(corners_mm), scale)


def to_scale(points_px: PointsPx, scale: float) -> PointsPx:
    """Points of the photo in a copy reduced by `scale`; (0, 0) is the centre of the first pixel in both."""
    return (points_px + 0.5) * scale - 0.5


def _fill(byte: npt.NDArray[np.uint8], corners_px: PointsPx, value: int) -> None:
    cv2.fillPoly(byte, [np.round(corners_px).astype(np.int32)], value)


def _without_lamp(rgb: RgbImage, mask: Mask) -> Mask:
    """The mask less any white area that spans most of the picture (a ring light)."""
    white = (rgb.min(axis=2) >= LAMP_LEVEL).astype(np.uint8)
    n_areas, label, boxes, _ = cv2.connectedComponentsWithStats(white, connectivity=8)
    least = LAMP_SPAN_RATIO * min(mask.shape)
    for k in range(1, n_areas):
        if max(boxes[k, 2], boxes[k, 3]) < least:
            continue
        lamp = (label == k).astype(np.uint8)
        grow = max(3, round(LAMP_MARGIN_RATIO * min(mask.shape))) | 1
        mask = mask & (cv2.dilate(lamp, np.ones((grow, grow), np.uint8)) == 0)
    return mask
