"""The part of a photo that shows the piece, at the scale that the mark network knows."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import PointsPx
from grader.marks.constants import (
    CROP_MARGIN_PX,
    LARGEST_PIECE_PX,
    LARGEST_SCALE_PX_PER_MM,
    NETWORK_STEP_PX,
    RIM_REACH_PX,
)


@dataclass(frozen=True, slots=True, eq=False)
class PieceCrop:
    """A crop with its way back to the photo."""

    rgb: np.ndarray
    """Coded red, green, blue, uint8 (H, W, 3); H and W are multiples of the network's step."""
    depth_px: np.ndarray
    """Distance inside the outline in crop px, float32 (H, W), negative outside."""
    offset_px: tuple[float, float]
    """Photo px (x, y) of the centre of the crop's top-left pixel."""
    scale_ratio: float
    """Crop px per photo px, at most 1."""
    pad_px: tuple[int, int] = (0, 0)
    """Rows at the lower and columns at the right edge that only repeat the last, up to the network's step."""

    def to_photo(self, points_px: PointsPx) -> PointsPx:
        """Crop px (N, 2) -> photo px (N, 2)."""
        return np.asarray(points_px / self.scale_ratio + np.asarray(self.offset_px), dtype=np.float64)


def crop_piece(rgb: np.ndarray, contour_px: PointsPx, px_per_mm: float | None) -> PieceCrop:
    """Cut the piece out of a photo, made smaller where the photo is finer than needed.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    contour_px : ndarray of shape (N, 2)
        Closed outline in photo px.
    px_per_mm : float or None
        Scale of the photo at the widest ring; None without a card.
    """
    low, high = contour_px.min(axis=0), contour_px.max(axis=0)
    finest = LARGEST_SCALE_PX_PER_MM / px_per_mm if px_per_mm else 1.0
    scale = min(1.0, finest, LARGEST_PIECE_PX / float((high - low).max()))
    margin = CROP_MARGIN_PX / scale
    x0, y0 = np.floor(np.maximum(low - margin, 0)).astype(int)
    x1, y1 = (int(v) for v in np.ceil(np.minimum(high + margin + 1, (rgb.shape[1], rgb.shape[0]))))
    part = rgb[y0:y1, x0:x1]
    size = tuple(max(1, round(n * scale)) for n in (part.shape[1], part.shape[0]))
    if scale < 1.0:
        part = cv2.resize(part, size, interpolation=cv2.INTER_AREA)
    # INTER_AREA keeps the picture's edges: pixel centres shift by half a pixel of each scale
    exact = size[0] / (x1 - x0)
    half = 0.5 / exact - 0.5
    offset = (float(x0 + half), float(y0 + half))
    depth = _depth((contour_px - np.asarray(offset)) * exact, part.shape[:2])
    below, right = ((-n) % NETWORK_STEP_PX for n in part.shape[:2])
    part = cv2.copyMakeBorder(part, 0, below, 0, right, cv2.BORDER_REPLICATE)
    depth = cv2.copyMakeBorder(depth, 0, below, 0, right, cv2.BORDER_REPLICATE)
    return PieceCrop(part, depth, offset, exact, (below, right))


def _depth(contour_px: PointsPx, shape: tuple[int, ...]) -> np.ndarray:
    """Distance inside a closed contour in px, float32 of `shape`, negative outside.

    Where the contour leaves the crop, as in close-ups, distances count to ``RIM_REACH_PX`` beyond the crop's edges.
    """
    reach = RIM_REACH_PX
    mask = np.zeros((shape[0] + 2 * reach, shape[1] + 2 * reach), np.uint8)
    shift = 4
    fixed = np.round((contour_px + reach) * (1 << shift)).astype(np.int32)
    cv2.fillPoly(mask, [fixed.reshape(-1, 1, 2)], 1, lineType=cv2.LINE_8, shift=shift)
    inside = cv2.distanceTransform(mask, cv2.DIST_L2, 5)
    outside = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 5)
    farthest = float(sum(mask.shape))
    depth = np.minimum(inside, farthest) - np.minimum(outside, farthest)
    return np.ascontiguousarray(depth[reach:-reach, reach:-reach], dtype=np.float32)
