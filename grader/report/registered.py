"""One photo drawn over another through the dome, so that marks on the glass lie at the same place in both."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, Mask, PointsPx, RgbImage
from calib.linear_light import decode_srgb, encode_srgb, linear_grey
from grader.constants import LEVELS_8_BIT
from grader.report.clock_frame import ClockFrame
from grader.report.compare_constants import GAIN_QUANTILE, GAIN_RANGE, LEAST_FACING, MAP_STEP_PX
from grader.report.constants import PAPER
from grader.sets.find_turns import PhotoTurn
from grader.sets.places import pixels_of, places_of, turned
from grader.sets.set_photo import SetPhoto


@dataclass(frozen=True, slots=True, eq=False)
class StandingPhoto:
    """A photo, and how the piece stands in it."""

    photo: SetPhoto
    """The photo."""
    turn: PhotoTurn
    """Against the main photo."""


def carried(points_px: PointsPx, here: StandingPhoto, there: StandingPhoto) -> tuple[PointsPx, FloatArray]:
    """Pixels (N, 2) of another photo that show the glass under those of one, (N, 2), and how it faces there, (N,)."""
    places = turned(places_of(here.photo.surface, points_px), there.turn.turn_rad - here.turn.turn_rad)
    return pixels_of(there.photo.surface, places)


def draw_over(there: StandingPhoto, here: StandingPhoto, frame: ClockFrame) -> tuple[RgbImage, Mask]:
    """Return photo `there` drawn over `here` in a frame of the latter, and where it shows the glass.

    Returns
    -------
    rgb : ndarray of shape (S, S, 3), uint8
        Paper where the glass is not shown.
    shown : ndarray of shape (S, S), bool
        Within the outline of both, and facing the camera of the other photo.
    """
    side = frame.side_px
    n = -(-side // MAP_STEP_PX)
    # Centres of blocks of pixels; resizing then puts each block's value in its middle.
    ticks = (np.arange(n) + 0.5) * MAP_STEP_PX - 0.5
    grid = np.stack(np.meshgrid(ticks, ticks), axis=-1).reshape(-1, 2)
    own_px = frame.to_photo(grid)
    points_px, facing = carried(own_px, here, there)
    maps = np.column_stack([points_px, facing]).reshape(n, n, 3).astype(np.float32)
    full = cv2.resize(maps, (n * MAP_STEP_PX, n * MAP_STEP_PX), interpolation=cv2.INTER_LINEAR)[:side, :side]
    picture = there.photo.findings.view.photo.rgb
    height, width = picture.shape[:2]
    x, y = np.ascontiguousarray(full[..., 0]), np.ascontiguousarray(full[..., 1])
    drawn = cv2.remap(picture, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    shown = inside_outline(here.photo, frame) & (full[..., 2] > LEAST_FACING)
    shown &= (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    rgb = np.where(shown[..., None], drawn, np.array(PAPER, dtype=np.uint8))
    return np.asarray(rgb, dtype=np.uint8), np.asarray(shown, dtype=np.bool_)


def inside_outline(photo: SetPhoto, frame: ClockFrame) -> Mask:
    """Where a frame shows the piece of its own photo, (S, S) bool."""
    mask = np.zeros((frame.side_px, frame.side_px), dtype=np.uint8)
    contour = np.rint(frame.to_picture(photo.surface.contour_px)).astype(np.int32)
    cv2.fillPoly(mask, [contour.reshape(-1, 1, 2)], 1)
    return np.asarray(mask > 0, dtype=np.bool_)


def gain_to(rgb: RgbImage, like: RgbImage, where: Mask) -> float:
    """Return the factor of light that brings the lighter parts of a picture (S, S, 3) to those of another."""
    if not where.any():
        return 1.0
    own, wanted = (float(np.quantile(linear_grey(one)[where], GAIN_QUANTILE)) for one in (rgb, like))
    return float(np.clip(wanted / max(own, 1e-6), *GAIN_RANGE))


def with_gain(rgb: RgbImage, gain: float) -> RgbImage:
    """Return a picture with its light times a factor."""
    codes = np.arange(LEVELS_8_BIT + 1) / LEVELS_8_BIT
    table = np.rint(encode_srgb(np.clip(decode_srgb(codes) * gain, 0.0, 1.0)) * LEVELS_8_BIT).astype(np.uint8)
    return np.asarray(table[rgb], dtype=np.uint8)
