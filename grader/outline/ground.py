"""Where the ground beside the piece may be seen: the clear field of the card, or all but card and lamp."""

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import Mask, PointsPx, RgbImage
from calib.card_fit import CardFit
from calib.print_card import marker_cells
from grader.outline.constants import (
    CARD_MARGIN_MM,
    FIELD_MARGIN_MM,
    LAMP_LEVEL,
    LAMP_MARGIN_RATIO,
    LAMP_SPAN_RATIO,
    LINE_CANNY_LEVELS,
    LINE_LEAST_RATIO,
    PATCH_MARGIN_MM,
    SMALL_SIDE_PX,
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


def print_edges_mask(shape: tuple[int, ...], card: CardFit, scale: float, width_px: int) -> Mask:
    """Places of a picture (H, W), reduced by `scale`, that are clear of the card's printed edges.

    What is printed changes the light along known lines; between them, paper and ink are as even as any ground.
    """
    byte = np.ones(shape[:2], dtype=np.uint8)
    sides = [((0.0, 0.0), *card.spec.outer_size_mm), ((0.0, 0.0), *card.spec.clear_field_mm)]
    sides += [(patch.centre_mm, patch.size_mm, patch.size_mm) for patch in card.spec.grey_patches]
    for marker in card.spec.markers:
        sides += _black_runs(marker.centre_mm, card.spec.marker_size_mm, marker.id, card.spec.marker_dictionary)
    corners = np.concatenate([_rectangle_px(card, centre, width, height, scale) for centre, width, height in sides])
    lines = [np.round(part).astype(np.int32) for part in corners.reshape(-1, 4, 2) if np.isfinite(part).all()]
    cv2.polylines(byte, lines, True, 0, thickness=max(width_px, 1))
    return byte > 0


def long_lines_mask(rgb: RgbImage, card: CardFit, scale: float, width_px: int) -> Mask:
    """Places of a picture that are clear of straight lines beyond the card, as the far edge of a table.

    Only lines that run on for LINE_LEAST_RATIO of the picture's width outside the card count; no rim of glass does.
    """
    small_ratio = min(1.0, SMALL_SIDE_PX / max(rgb.shape[:2]))
    size = (max(round(rgb.shape[1] * small_ratio), 1), max(round(rgb.shape[0] * small_ratio), 1))
    small = cv2.GaussianBlur(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), (0, 0), 1.0)
    edges = np.max([cv2.Canny(channel, *LINE_CANNY_LEVELS) for channel in cv2.split(small)], axis=0)
    width, height = card.spec.outer_size_mm
    outer = _rectangle_px(card, (0.0, 0.0), width + 2 * CARD_MARGIN_MM, height + 2 * CARD_MARGIN_MM, scale)
    cv2.fillPoly(edges, [np.round(to_scale(outer, small_ratio)).astype(np.int32)], 0)
    found = cv2.HoughLines(edges, 1, np.pi / 720, round(LINE_LEAST_RATIO * size[0]))
    byte = np.ones(rgb.shape[:2], dtype=np.uint8)
    far = float(sum(rgb.shape[:2]))
    for distance, turn in [] if found is None else found.reshape(-1, found.shape[-1])[:, :2].tolist():
        normal = np.array([np.cos(turn), np.sin(turn)])
        middle = (distance * normal + 0.5) / small_ratio - 0.5
        ends = [np.round(middle + side * far * normal[::-1] * (-1, 1)).astype(int).tolist() for side in (-1, 1)]
        cv2.line(byte, ends[0], ends[1], 0, thickness=max(width_px, 1))
    return byte > 0


def _black_runs(
    centre_mm: tuple[float, float], side_mm: float, marker_id: int, dictionary: str
) -> list[tuple[tuple[float, float], float, float]]:
    """Middle, width and height of each run of black cells in a marker's rows."""
    cells = marker_cells(marker_id, dictionary)
    cell = side_mm / len(cells)
    runs = []
    for row, black in enumerate(cells):
        y = centre_mm[1] + side_mm / 2 - (row + 0.5) * cell
        edges = np.flatnonzero(np.diff(np.concatenate([[0], black.astype(np.int8), [0]])))
        for start, end in edges.reshape(-1, 2).tolist():
            x = centre_mm[0] - side_mm / 2 + (start + end) / 2 * cell
            runs.append(((x, y), (end - start) * cell, cell))
    return runs


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
