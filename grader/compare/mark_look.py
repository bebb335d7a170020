"""How a mark looks in the photo that shows it best, and the same look carried over to another photo."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.compare.constants import (
    GRID_STEP_PX,
    LARGEST_WINDOW_PX,
    LOOK_MARGIN_PX,
    MASK_SOFT_PX,
    SUPPORT_GROW_PX,
)
from grader.compare.crop_light import CropLight


@dataclass(frozen=True, slots=True, eq=False)
class CarriedLook:
    """A mark's surroundings as one photo shows them, drawn in the pixels of another."""

    left: int
    """Column of the other crop at which the window begins."""
    top: int
    """Row likewise."""
    picture: GreyImage
    """(h, w) the first photo's light."""
    mask: GreyImage
    """(h, w) the mark, 0 to 1 with soft edges."""
    known: np.ndarray
    """(h, w) bool, where both photos show the glass."""
    template: GreyImage
    """(h, w) light that the mark adds or takes, less its mean over the support; 0 outside of it."""
    support: np.ndarray
    """(h, w) bool, the mark and what lies close round it."""

    @property
    def window(self) -> tuple[slice, slice]:
        """Rows and columns in the other crop."""
        height, width = self.picture.shape
        return slice(self.top, self.top + height), slice(self.left, self.left + width)


def mask_of(outlines: Sequence[PointsPx], here: CropLight) -> GreyImage:
    """1 inside any of some outlines (N, 2) in crop px, else 0, (H, W)."""
    mask = np.zeros(here.light.shape, np.float32)
    for outline in outlines:
        cv2.fillPoly(mask, [np.rint(outline).astype(np.int32).reshape(-1, 1, 2)], 1.0)
    return mask


def carry_over(
    marked: GreyImage, points: PointsPx, here: CropLight, there: CropLight, shift_px: FloatArray
) -> CarriedLook | None:
    """Draw a mark of one photo, with its surroundings, in the pixels of another; None where that does not show it.

    Parameters
    ----------
    marked : ndarray of shape (H, W)
        The mark in the first photo's crop: 1, else 0.
    points : ndarray of shape (N, 2)
        Crop px of the first photo that lie about the mark.
    here, there : CropLight
        The photo that shows the mark, and the other one.
    shift_px : ndarray of shape (2,)
        By how many crop px of the other photo the mark lies beside its place on the surface, for what lies inside.
    """
    points_there, facing = there.from_piece(here.to_piece(points))
    if not (facing > 0).any():
        return None
    window = _window(points_there[facing > 0] + shift_px, there.light.shape)
    if window is None:
        return None
    left, top, width, height = window
    back = _pixels_back(left, top, width, height, here, there, shift_px)
    known = np.asarray(
        (back[..., 0] >= 0)
        & (back[..., 1] >= 0)
        & (back[..., 0] <= here.light.shape[1] - 1)
        & (back[..., 1] <= here.light.shape[0] - 1)
        & (there.photo.crop.depth_px[top : top + height, left : left + width] > 1)
    )
    picture = _drawn(here.light, back, here, there)
    mask = _blurred(_drawn(marked, back, here, there), MASK_SOFT_PX)
    template, support = _template(picture, mask, known)
    return CarriedLook(left, top, picture, mask, known, template, support)


def _window(points: PointsPx, shape: tuple[int, ...]) -> tuple[int, int, int, int] | None:
    """Left, top, width and height of the window about points (N, 2) within a crop; None where none is left."""
    height, width = shape[:2]
    low, high = points.min(axis=0), points.max(axis=0)
    middle, half = (low + high) / 2, np.minimum((high - low) / 2 + LOOK_MARGIN_PX, LARGEST_WINDOW_PX / 2)
    x0, y0 = np.maximum(np.floor(middle - half), 0).astype(int)
    x1, y1 = np.minimum(np.ceil(middle + half) + 1, (width, height)).astype(int)
    return (
        (int(x0), int(y0), int(x1 - x0), int(y1 - y0))
        if x1 - x0 > LOOK_MARGIN_PX and y1 - y0 > LOOK_MARGIN_PX
        else None
    )


def _pixels_back(
    left: int, top: int, width: int, height: int, here: CropLight, there: CropLight, shift_px: FloatArray
) -> np.ndarray:
    """For each pixel of a window of the other crop its pixel (h, w, 2) in the first crop, float32.

    Traced at every GRID_STEP_PX px and interpolated between, since the mapping is smooth.
    """
    columns = np.arange(0, width + GRID_STEP_PX, GRID_STEP_PX, dtype=np.float64)
    rows = np.arange(0, height + GRID_STEP_PX, GRID_STEP_PX, dtype=np.float64)
    grid = np.stack(np.meshgrid(columns, rows), axis=-1)
    points, _ = here.from_piece(there.to_piece(grid.reshape(-1, 2) + np.array([left, top]) - shift_px))
    coarse = points.reshape(*grid.shape).astype(np.float32)
    x, y = np.meshgrid(np.arange(width, dtype=np.float32), np.arange(height, dtype=np.float32))
    return np.asarray(cv2.remap(coarse, x / GRID_STEP_PX, y / GRID_STEP_PX, cv2.INTER_LINEAR))


def _drawn(picture: GreyImage, back: np.ndarray, here: CropLight, there: CropLight) -> GreyImage:
    """A picture of the first crop in the pixels of the window, blurred as the other photo is."""
    scale = there.px_per_radius / here.px_per_radius
    low = np.maximum(np.floor(back.reshape(-1, 2).min(axis=0)).astype(int) - 8, 0)
    high = np.ceil(back.reshape(-1, 2).max(axis=0)).astype(int) + 9
    part = picture[low[1] : max(high[1], low[1] + 1), low[0] : max(high[0], low[0] + 1)]
    if part.size == 0:
        return np.zeros(back.shape[:2], np.float32)
    more = (there.blur_px / scale) ** 2 - here.blur_px**2
    if more > 0.05:  # Source: a spread of 0.2 px changes nothing that can be seen
        part = _blurred(part, float(np.sqrt(more)))
    at = np.asarray(back - low, dtype=np.float32)
    return np.asarray(
        cv2.remap(part, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), dtype=np.float32
    )


def _blurred(picture: GreyImage, spread_px: float) -> GreyImage:
    return np.asarray(cv2.GaussianBlur(picture, (0, 0), spread_px), dtype=np.float32)


def _template(picture: GreyImage, mask: GreyImage, known: np.ndarray) -> tuple[GreyImage, np.ndarray]:
    """What the mark adds to the light or takes of it, and its support.

    The glass under the mark is filled in from round it by a weighted mean, the nearer the more.
    """
    core = (mask > 0.05).astype(np.uint8)
    size = 2 * SUPPORT_GROW_PX + 1
    support = cv2.dilate(core, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))) > 0
    weight = (known & (core == 0)).astype(np.float32)
    spread = max(_half_width(core), SUPPORT_GROW_PX)
    total = cv2.GaussianBlur(weight, (0, 0), spread)
    filled = cv2.GaussianBlur(picture * weight, (0, 0), spread) / np.maximum(total, 1e-4)
    added = np.where(core > 0, (picture - filled) * mask, 0.0)
    used = support & known
    if not used.any():
        return np.zeros_like(picture), used
    template = np.where(used, added - added[used].mean(), 0.0)
    return np.asarray(template, dtype=np.float32), np.asarray(used)


def _half_width(core: np.ndarray) -> float:
    """Greatest distance of a pixel of a mask from its edge."""
    return float(cv2.distanceTransform(np.pad(core, 1), cv2.DIST_L2, 3).max())
