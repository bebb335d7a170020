"""A photo turned to the main photo's clock and scaled to a given width of the piece."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx, RgbImage
from grader.report.constants import PAPER, UNITS_PER_PIECE
from grader.report.glass_lines import noon_direction
from grader.report.picture_frame import PictureFrame
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto


@dataclass(frozen=True, slots=True, eq=False)
class ClockFrame:
    """Where pixels of a photo lie in a square picture with the main photo's 12 o'clock on top."""

    matrix: FloatArray
    """(2, 3) photo px to picture px: a turn, a scale and a shift."""
    side_px: int
    """Columns and rows of the picture."""
    radius: float
    """Radius of the circle round the piece, in the picture."""

    @property
    def scale(self) -> float:
        """Pixels of the picture to one of the photo."""
        return float(np.hypot(*self.matrix[0, :2]))

    @property
    def centre(self) -> tuple[float, float]:
        """Middle of the picture, which is that of the circle round the piece."""
        return (self.side_px - 1) / 2, (self.side_px - 1) / 2

    def to_picture(self, points_px: PointsPx) -> PointsPx:
        """Points of the photo (N, 2) in the picture."""
        return np.asarray(np.asarray(points_px, dtype=np.float64) @ self.matrix[:, :2].T + self.matrix[:, 2])

    def to_photo(self, points: PointsPx) -> PointsPx:
        """Points of the picture (N, 2) in the photo."""
        return np.asarray(
            (np.asarray(points, dtype=np.float64) - self.matrix[:, 2]) @ np.linalg.inv(self.matrix[:, :2]).T
        )

    def drawing_frame(self) -> PictureFrame:
        """The picture's own frame, for what is drawn in picture px."""
        return PictureFrame(0, 0, self.side_px, self.side_px, self.centre, self.radius)


def frame_by_clock(photo: SetPhoto, turn: PhotoTurn, piece_px: float, margin_u: float) -> ClockFrame:
    """Return the frame that turns a photo to the main photo's clock.

    Parameters
    ----------
    photo : SetPhoto
        From the side it is not turned, since the piece's axis then stands upright in it.
    turn : PhotoTurn
        How the piece stands in it against the main photo.
    piece_px : float
        Width of the circle round the piece in the picture.
    margin_u : float
        Room beyond that circle, in thousandths of its width.
    """
    contour_px = photo.surface.contour_px
    (x_px, y_px), radius_px = cv2.minEnclosingCircle(np.asarray(contour_px, dtype=np.float32))
    side_px = round(piece_px * (1 + 2 * margin_u / UNITS_PER_PIECE))
    turn_rad = 0.0
    if photo.is_from_above:
        # The piece was turned against the clock, which in the picture is from +y to +x.
        turn_rad = -math.pi / 2 - (noon_direction(photo.findings.view) - turn.turn_rad)
    return _turned_about((x_px, y_px), turn_rad, piece_px / (2 * radius_px), side_px, piece_px / 2)


def window_of(frame: ClockFrame, centre_px: FloatArray, width_px: float, side_px: int) -> ClockFrame:
    """Return the frame of a square window round a point (2,) of the photo, turned alike; `width_px` is in photo px."""
    scale = side_px / width_px
    linear = frame.matrix[:, :2] * (scale / frame.scale)
    middle = (side_px - 1) / 2
    shift = np.array([middle, middle]) - linear @ centre_px
    return ClockFrame(np.column_stack([linear, shift]), side_px, frame.radius * scale / frame.scale)


def draw_turned(rgb: RgbImage, frame: ClockFrame) -> RgbImage:
    """Return a photo (H, W, 3) as a frame shows it, (S, S, 3); paper where it has no more."""
    matrix, reduced = frame.matrix, rgb
    if frame.scale < 0.75:
        # Shrunk by area first: a turn alone would skip pixels.
        height, width = rgb.shape[:2]
        size = max(round(width * frame.scale), 1), max(round(height * frame.scale), 1)
        reduced = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
        by = np.array([size[0] / width, size[1] / height])
        # Pixel centres lie half a pixel in: x' + 0.5 = by (x + 0.5).
        linear = matrix[:, :2] / by
        matrix = np.column_stack([linear, matrix[:, 2] - linear @ (0.5 * by - 0.5)])
    return np.asarray(
        cv2.warpAffine(
            reduced, matrix, (frame.side_px, frame.side_px), flags=cv2.INTER_CUBIC,
            borderMode=cv2.BORDER_CONSTANT, borderValue=PAPER,
        ),
        dtype=np.uint8,
    )  # fmt: skip


def _turned_about(
    centre_px: tuple[float, float], turn_rad: float, scale: float, side_px: int, radius: float
) -> ClockFrame:
    """Frame that turns by an angle from +x to +y about a point that comes to the middle."""
    c, s = scale * math.cos(turn_rad), scale * math.sin(turn_rad)
    linear = np.array([[c, -s], [s, c]])
    middle = (side_px - 1) / 2
    shift = np.array([middle, middle]) - linear @ np.array(centre_px)
    return ClockFrame(np.column_stack([linear, shift]), side_px, radius)
