"""Parts of the piece in which damage could not be seen: reflections, clipped light, glass that is too steep."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.marks.unseen_constants import CLIPPED_CODE, SMALLEST_GLARE_RATIO, STEEPEST_FACING
from grader.marks.unseen_ring import find_rings
from grader.marks.unseen_shapes import PiecePicture, outlines, piece_picture
from grader.marks.unseen_window import find_windows
from grader.outline.dome_view import DomeView
from grader.outline.surface import DomeSurface

RING = "ring light reflection"
WINDOW = "window reflection"
GLARE = "glare"
STEEP = "too steep to judge"

REASONS = (RING, WINDOW, GLARE, STEEP)
"""Why a part could not be seen, in the order in which a pixel is counted; the words are those of the report."""


@dataclass(frozen=True, slots=True, eq=False)
class UnseenArea:
    """One connected part of the piece in which damage could not be seen. Parts do not overlap."""

    reason: str
    """One of ``REASONS``."""
    polygon_px: PointsPx
    """Closed outline (N, 2), float64, read-only; holes are reached through slits of no width."""
    area_ratio: float
    """Share of the piece as the photo shows it, 0 to 1."""
    area_mm2: float | None
    """Area on the curved glass, mm2; ``None`` where the photo has no card."""


def find_unseen(view: DomeView, surface: DomeSurface) -> tuple[UnseenArea, ...]:
    """Parts of the piece in which damage could not be seen, by reason and then by size; empty if all was seen.

    Parameters
    ----------
    view : DomeView
        Photo and outline.
    surface : DomeSurface
        The glass that the outline stands for.
    """
    picture = piece_picture(view.photo.rgb, view.outline.contour_px)
    height, width = picture.inside.shape
    located = surface.locate(picture.pixel_centres_px())
    facing = located.facing.reshape(height, width)
    glass_area = pixel_area(located.points_mm.reshape(height, width, 3))
    contour = picture.from_photo(view.outline.contour_px)
    steep = (facing < STEEPEST_FACING).astype(np.uint8)
    ring = ring_mask(picture, contour, facing)
    masks = {
        RING: ring,
        WINDOW: window_mask(picture, picture.inside & (1 - steep) & (1 - ring)),
        GLARE: glare_mask(picture),
        STEEP: steep,
    }
    free, found = picture.inside.copy(), []
    for reason in REASONS:
        mask = masks[reason] & free
        free &= 1 - mask
        found += _areas(reason, mask, picture, glass_area if surface.is_metric else None)
    return tuple(found)


def ring_mask(picture: PiecePicture, contour: PointsPx, facing: FloatArray) -> np.ndarray:
    """(h, w) uint8, 1 on the mirror image of a ring light."""
    row, column = np.unravel_index(int(np.argmax(np.where(picture.inside > 0, facing, -1))), facing.shape)
    mask = np.zeros(facing.shape, np.uint8)
    for ring in find_rings(picture, contour, np.array([column, row], dtype=np.float64)):
        mask |= ring.mask(facing.shape)
    return np.asarray(cv2.dilate(mask, np.ones((3, 3), np.uint8)))


def window_mask(picture: PiecePicture, free: np.ndarray) -> np.ndarray:
    """(h, w) uint8, 1 on mirror images of windows within ``free`` (h, w)."""
    mask = np.zeros(free.shape, np.uint8)
    for quad in find_windows(picture, free):
        cv2.fillPoly(mask, [np.rint(quad * 16).astype(np.int32)], 1, shift=4)
    return mask


def glare_mask(picture: PiecePicture) -> np.ndarray:
    """(h, w) uint8, 1 where all channels are clipped over more than a speck."""
    clipped = ((picture.rgb.min(axis=2) >= CLIPPED_CODE) & (picture.inside > 0)).astype(np.uint8)
    clipped = cv2.morphologyEx(clipped, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    n, labels, stats, _ = cv2.connectedComponentsWithStats(clipped, connectivity=8)
    smallest = SMALLEST_GLARE_RATIO * np.count_nonzero(picture.inside)
    kept = [k for k in range(1, n) if stats[k, cv2.CC_STAT_AREA] >= smallest]
    return np.isin(labels, kept).astype(np.uint8)


def pixel_area(points_mm: FloatArray) -> FloatArray:
    """Glass area under each pixel, (h, w), from the points (h, w, 3) at the pixel centres."""
    across, down = np.gradient(points_mm, axis=1), np.gradient(points_mm, axis=0)
    return np.asarray(np.linalg.norm(np.cross(across, down), axis=2))


def _areas(reason: str, mask: np.ndarray, picture: PiecePicture, glass_area: FloatArray | None) -> list[UnseenArea]:
    """One area a connected part of the mask, the largest first."""
    n, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    whole = np.count_nonzero(picture.inside)
    found = []
    for number in sorted(range(1, n), key=lambda k: -int(stats[k, cv2.CC_STAT_AREA])):
        part = labels == number
        for outline in outlines(part.astype(np.uint8)):
            polygon_px = picture.to_photo(outline)
            polygon_px.setflags(write=False)
            area_mm2 = None if glass_area is None else float(glass_area[part].sum())
            found.append(UnseenArea(reason, polygon_px, np.count_nonzero(part) / int(whole), area_mm2))
    return found
