"""Which part of the photo the sheet shows, how large, and where pixels of the photo lie in it."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import PointsPx, RgbImage
from grader.report.constants import ENLARGE_MOST, PAPER, PIECE_LEAST_PX, PIECE_MOST_PX, UNITS_PER_PIECE


@dataclass(frozen=True, slots=True)
class PictureFrame:
    """A square of the photo round the piece, enlarged or reduced."""

    left_px: int
    """First column of the photo; may lie outside of it."""
    top_px: int
    """First row of the photo; may lie outside of it."""
    side_px: int
    """Columns and rows of the photo."""
    shown_px: int
    """Columns and rows of the picture."""
    centre: tuple[float, float]
    """Middle of the circle round the piece, in the picture."""
    radius: float
    """Radius of the circle round the piece, in the picture."""

    @property
    def scale(self) -> float:
        """Pixels of the picture to one of the photo."""
        return self.shown_px / self.side_px

    @property
    def unit(self) -> float:
        """Pixels of the picture to one u, a thousandth of the piece's width."""
        return 2.0 * self.radius / UNITS_PER_PIECE

    def to_picture(self, points_px: PointsPx) -> PointsPx:
        """Points of the photo, (N, 2), in the picture; both count from the centre of the top-left pixel."""
        corner = np.array([self.left_px, self.top_px], dtype=np.float64)
        return (np.asarray(points_px, dtype=np.float64) - corner + 0.5) * self.scale - 0.5

    def on_circle(self, angle_rad: float, beyond_u: float) -> tuple[float, float]:
        """Point outside the circle round the piece, in the picture."""
        reach = self.radius + beyond_u * self.unit
        return self.centre[0] + reach * math.cos(angle_rad), self.centre[1] + reach * math.sin(angle_rad)

    def direction(self, point: tuple[float, float]) -> float:
        """Direction of a point of the picture from the middle, from +x to +y, in radians."""
        return math.atan2(point[1] - self.centre[1], point[0] - self.centre[0])


def frame_piece(contour_px: PointsPx, margin_u: float) -> PictureFrame:
    """Return the frame of a piece with a margin round the circle that encloses it.

    Parameters
    ----------
    contour_px : ndarray of shape (N, 2)
        The silhouette.
    margin_u : float
        Room beyond the enclosing circle, in thousandths of its diameter.
    """
    (x_px, y_px), radius_px = cv2.minEnclosingCircle(np.asarray(contour_px, dtype=np.float32))
    width_px = 2.0 * radius_px
    wanted = min(max(width_px, PIECE_LEAST_PX), PIECE_MOST_PX) / width_px
    scale = min(wanted, ENLARGE_MOST)
    half_px = radius_px * (1.0 + 2.0 * margin_u / UNITS_PER_PIECE)
    left_px, top_px = round(x_px - half_px), round(y_px - half_px)
    side_px = max(round(2.0 * half_px), 1)
    shown_px = max(round(side_px * scale), 1)
    exact = shown_px / side_px
    centre = ((x_px - left_px + 0.5) * exact - 0.5, (y_px - top_px + 0.5) * exact - 0.5)
    return PictureFrame(left_px, top_px, side_px, shown_px, centre, radius_px * exact)


def cut_picture(rgb: RgbImage, frame: PictureFrame) -> RgbImage:
    """Return the part of a photo, (H, W, 3), that a frame shows, (S, S, 3); paper where the photo has no more."""
    cut = np.empty((frame.side_px, frame.side_px, 3), dtype=np.uint8)
    cut[:] = PAPER
    height, width = rgb.shape[:2]
    x0, x1 = max(frame.left_px, 0), min(frame.left_px + frame.side_px, width)
    y0, y1 = max(frame.top_px, 0), min(frame.top_px + frame.side_px, height)
    if x1 > x0 and y1 > y0:
        cut[y0 - frame.top_px : y1 - frame.top_px, x0 - frame.left_px : x1 - frame.left_px] = rgb[y0:y1, x0:x1]
    if frame.shown_px == frame.side_px:
        return cut
    way = cv2.INTER_AREA if frame.shown_px < frame.side_px else cv2.INTER_CUBIC
    return np.asarray(cv2.resize(cut, (frame.shown_px, frame.shown_px), interpolation=way), dtype=np.uint8)
