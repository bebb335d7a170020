"""Shapes on a reduced picture of the piece, and their outlines in the photo."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx, RgbImage
from grader.marks.unseen_constants import UNSEEN_WORK_PX

_OUTLINE_TOLERANCE_PX = 0.5  # Source: half a pixel of the reduced picture


@dataclass(frozen=True, slots=True, eq=False)
class PiecePicture:
    """The piece cut out of its photo and reduced."""

    rgb: RgbImage
    """(h, w, 3) uint8."""
    corner_px: FloatArray
    """(2,) photo px of the outer corner of its first pixel, less half a pixel: see ``to_photo``."""
    scale: float
    """Reduced px per photo px, at most 1."""
    inside: np.ndarray
    """(h, w) uint8, 1 within the outline."""

    def to_photo(self, points: PointsPx) -> PointsPx:
        """Photo px of points (N, 2) of this picture."""
        return np.asarray((points + 0.5) / self.scale - 0.5 + self.corner_px)

    def from_photo(self, points_px: PointsPx) -> PointsPx:
        """Points (N, 2) of this picture from photo px."""
        return np.asarray((points_px - self.corner_px + 0.5) * self.scale - 0.5)

    def pixel_centres_px(self) -> PointsPx:
        """Photo px of all pixel centres, (h * w, 2), row by row."""
        height, width = self.inside.shape
        x, y = np.meshgrid(np.arange(width, dtype=np.float64), np.arange(height, dtype=np.float64))
        return self.to_photo(np.stack([x.ravel(), y.ravel()], axis=1))


def piece_picture(rgb: RgbImage, contour_px: PointsPx) -> PiecePicture:
    """Cut the piece out of a photo and reduce it to UNSEEN_WORK_PX.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    contour_px : ndarray of shape (N, 2)
    """
    height, width = rgb.shape[:2]
    low = np.clip(np.floor(contour_px.min(axis=0)).astype(int) - 1, 0, (width - 1, height - 1))
    high = np.clip(np.ceil(contour_px.max(axis=0)).astype(int) + 2, low + 1, (width, height))
    cut = rgb[low[1] : high[1], low[0] : high[0]]
    scale = min(1.0, UNSEEN_WORK_PX / max(cut.shape[:2]))
    size = (max(1, int(cut.shape[1] * scale)), max(1, int(cut.shape[0] * scale)))
    small = np.asarray(cv2.resize(cut, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    picture = PiecePicture(small, low.astype(np.float64), scale, np.zeros(small.shape[:2], np.uint8))
    cv2.fillPoly(picture.inside, [np.rint(picture.from_photo(contour_px)).astype(np.int32)], 1)
    return picture


def outlines(mask: np.ndarray) -> list[PointsPx]:
    """Closed outlines (N, 2) of the connected parts of a mask (h, w), each through its outer pixels.

    A part with holes becomes one polygon that visits each hole through a slit of no width, so that its area by the
    shoelace rule and its filling leave the holes out.
    """
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    found = []
    for number, contour in enumerate(contours):
        if tree[0][number][3] >= 0:
            continue
        outline = _simple(contour)
        hole = int(tree[0][number][2])
        while hole >= 0:
            outline = _with_hole(outline, _simple(contours[hole]))
            hole = int(tree[0][hole][0])
        if len(outline) >= 3:
            found.append(outline)
    return found


def _simple(contour: np.ndarray) -> PointsPx:
    return np.asarray(cv2.approxPolyDP(contour, _OUTLINE_TOLERANCE_PX, True)[:, 0], dtype=np.float64)


def _with_hole(outline: PointsPx, hole: PointsPx) -> PointsPx:
    """Outline that enters the hole at the nearest pair of points and comes back."""
    apart = np.linalg.norm(outline[:, None] - hole[None], axis=2)
    out, into = np.unravel_index(int(np.argmin(apart)), apart.shape)
    hole = np.roll(hole, -int(into), axis=0)
    if _signed_area(outline) * _signed_area(hole) > 0:
        hole = np.concatenate([hole[:1], hole[:0:-1]])
    return np.concatenate([outline[: out + 1], hole, hole[:1], outline[out:]])


def _signed_area(polygon: PointsPx) -> float:
    x, y = polygon[:, 0], polygon[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)
