"""The piece of one photo in linear light, as a share of white paper's, ready for comparing places."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import GreyImage, PointsPx
from calib.linear_light import linear_grey
from grader.compare.constants import PIXEL_SPREAD_PX, USUAL_BLUR_PX, USUAL_NOISE
from grader.quality.exposure import paper_or_lightest
from grader.sets.find_turns import PhotoTurn
from grader.sets.places import pixels_of, places_of, turned
from grader.sets.set_photo import SetPhoto


@dataclass(frozen=True, slots=True, eq=False)
class CropLight:
    """One photo of either side, and the light of its crop."""

    photo: SetPhoto
    """The photo."""
    turn: PhotoTurn
    """How the piece stands in it."""
    light: GreyImage
    """(H, W) luminance in crop px, 1 is white paper."""
    white: float
    """Light at which the photo's pixels are clipped, on that scale."""
    blur_px: float
    """Spread of light in crop px."""
    noise: float
    """Standard deviation of single pixels at the piece's light, as a share of white."""

    def to_piece(self, crop_points: PointsPx) -> np.ndarray:
        """Places (N, 3) in the piece's frame of crop px (N, 2)."""
        return turned(places_of(self.photo.surface, self.photo.crop.to_photo(crop_points)), -self.turn.turn_rad)

    def from_piece(self, places: np.ndarray) -> tuple[PointsPx, np.ndarray]:
        """Crop px (N, 2) of places (N, 3) in the piece's frame, and how much the glass faces the camera there, (N,)."""
        points_px, facing = pixels_of(self.photo.surface, turned(places, self.turn.turn_rad))
        return self.photo.crop_px(points_px), facing

    @property
    def px_per_radius(self) -> float:
        """Crop px for the radius of the piece."""
        return float(np.ptp(self.photo.surface.contour_px[:, 0])) / 2 * self.photo.crop.scale_ratio


def light_of_crop(photo: SetPhoto, turn: PhotoTurn) -> CropLight:
    """Prepare a photo for comparison."""
    quality = photo.findings.quality
    paper = max(paper_or_lightest(quality.exposure), 1e-3)
    blur = quality.focus.blur_px if quality.focus.blur_px is not None else USUAL_BLUR_PX
    scale = photo.crop.scale_ratio
    # a reduced crop is a mean over 1 / scale px of the photo, a pixel of the crop
    blur_px = float(np.hypot(blur * scale, PIXEL_SPREAD_PX * (scale < 1)))
    light = linear_grey(photo.crop.rgb) / np.float32(paper)
    noise = USUAL_NOISE if quality.noise.at_piece is None else quality.noise.at_piece
    return CropLight(photo, turn, np.asarray(light, dtype=np.float32), 1 / paper, blur_px, noise)
