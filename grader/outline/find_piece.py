"""A first guess of where the piece is: the largest thing with structure on a smooth ground."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, Mask, PointsPx, RgbImage
from grader.outline.constants import (
    BRIDGE_PX,
    GROUND_SLOPE_PERCENTILE,
    PIECE_LEAST_SIDE_RATIO,
    SLOPE_LEAST_LEVELS,
    SLOPE_OVER_GROUND,
)

_CORE = np.ones((5, 5), dtype=np.uint8)  # Source: the slope's own reach, two px each way.


@dataclass(frozen=True, slots=True, eq=False)
class PieceGuess:
    """A place where a piece may be."""

    centre_px: FloatArray
    """(2,) in px of the picture looked at."""
    radius_px: float
    """Of the circle of equal area."""
    hull_px: PointsPx
    """(N, 2) convex hull."""
    touches_edge: bool
    """Whether it reaches the edge of the picture."""


def find_piece(small_rgb: RgbImage, mask: Mask) -> tuple[PieceGuess, ...]:
    """Places with structure, the largest first.

    Parameters
    ----------
    small_rgb : ndarray of shape (H, W, 3)
        The photo reduced to about 450 px.
    mask : ndarray of shape (H, W)
        bool, True where ground or piece may be seen.
    """
    slope = _slope(small_rgb)
    seen = cv2.erode(mask.astype(np.uint8), _CORE, borderType=cv2.BORDER_CONSTANT, borderValue=1) > 0
    if not seen.any():
        return ()
    ground = float(np.percentile(slope[seen], GROUND_SLOPE_PERCENTILE))
    steep = ((slope > max(SLOPE_OVER_GROUND * ground, SLOPE_LEAST_LEVELS)) & seen).astype(np.uint8)
    bridged = cv2.morphologyEx(steep, cv2.MORPH_CLOSE, np.ones((BRIDGE_PX, BRIDGE_PX), np.uint8))
    n_parts, label, boxes, _ = cv2.connectedComponentsWithStats(bridged, connectivity=8)
    height, width = slope.shape
    least = PIECE_LEAST_SIDE_RATIO * min(height, width)
    guesses = []
    for k in range(1, n_parts):
        x, y, w, h = (int(v) for v in boxes[k, :4])
        if min(w, h) >= least:
            edge = x <= 1 or y <= 1 or x + w >= width - 1 or y + h >= height - 1
            guesses.append(_guess(label[y : y + h, x : x + w] == k, x, y, edge))
    return tuple(sorted(guesses, key=lambda guess: -guess.radius_px))


def _slope(small_rgb: RgbImage) -> GreyImage:
    """Largest slope of the three channels, levels a px, (H, W)."""
    smooth = cv2.GaussianBlur(small_rgb.astype(np.float32), (0, 0), 1.0)
    slope = np.zeros(smooth.shape[:2], dtype=np.float32)
    for channel in cv2.split(smooth):
        along, down = cv2.Scharr(channel, -1, 1, 0) / 32, cv2.Scharr(channel, -1, 0, 1) / 32
        np.maximum(slope, cv2.magnitude(along, down), out=slope)
    return slope


def _guess(part: Mask, x: int, y: int, touches_edge: bool) -> PieceGuess:
    rows, columns = np.nonzero(part)
    points = np.column_stack([columns + x, rows + y]).astype(np.float32)
    hull = cv2.convexHull(points)
    moments = cv2.moments(hull)
    area = max(moments['m00'], 1.0)
    centre = np.array([moments['m10'], moments['m01']]) / area if moments['m00'] > 0 else points.mean(axis=0)
    return PieceGuess(
        np.asarray(centre, dtype=np.float64), float(np.sqrt(area / np.pi)), hull[:, 0].astype(np.float64), touches_edge
    )
