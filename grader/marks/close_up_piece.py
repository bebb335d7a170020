"""Pixels that belong together in a close-up, and small shapes to work on them."""

from dataclasses import dataclass, field
from functools import cache
from typing import TypeAlias

import cv2
import numpy as np

Flags: TypeAlias = np.ndarray
"""(H, W) uint8, 0 or 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """The pixels of one possible mark, as a small mask and its place in the photo."""

    mask: Flags
    """(h, w) uint8, 1 on the mark."""
    x_px: int
    """Column of the mask's first pixel in the photo."""
    y_px: int
    """Row of the mask's first pixel in the photo."""
    is_line: bool
    """Found as a line; its length is then ``length_px``."""
    length_px: float = 0.0
    """Length along the path of a line, px; 0 for others."""
    line_signal: float = 0.0
    """Squared signal-to-noise ratio of the line as a whole; 0 for others."""
    path_px: np.ndarray = field(default_factory=lambda: np.zeros((0, 2), np.intp))
    """(N, 2) pixels (x, y) of a line's middle; none for others."""

    def window(self) -> tuple[slice, slice]:
        """Rows and columns of the photo that the mask covers."""
        height, width = self.mask.shape
        return slice(self.y_px, self.y_px + height), slice(self.x_px, self.x_px + width)

    def area_px(self) -> int:
        """Number of pixels."""
        return int(np.count_nonzero(self.mask))

    def thickness_px(self) -> float:
        """Diameter of the largest disc that fits."""
        return 2 * float(cv2.distanceTransform(np.pad(self.mask, 1), cv2.DIST_L2, 5).max())

    def share_inside(self, cover: Flags) -> float:
        """Share of the pixels, of a line those of its path, that lie on ``cover`` (H, W)."""
        if len(self.path_px):
            return float(cover[self.path_px[:, 1], self.path_px[:, 0]].mean())
        return float(np.count_nonzero(cover[self.window()] & self.mask)) / max(self.area_px(), 1)

    def shared_px(self, other: 'Piece') -> int:
        """Number of pixels that lie on another piece too."""
        rows, columns = self.window()
        other_rows, other_columns = other.window()
        top, left = max(rows.start, other_rows.start), max(columns.start, other_columns.start)
        bottom, right = min(rows.stop, other_rows.stop), min(columns.stop, other_columns.stop)
        if top >= bottom or left >= right:
            return 0
        parts = (
            piece.mask[top - piece.y_px : bottom - piece.y_px, left - piece.x_px : right - piece.x_px]
            for piece in (self, other)
        )
        return int(np.count_nonzero(np.bitwise_and(*parts)))

    def paint(self, cover: Flags) -> None:
        """Add the pixels to ``cover`` (H, W), in place: the caller's own working map."""
        cover[self.window()] |= self.mask


@cache
def disc(radius_px: int) -> Flags:
    """Filled disc of (2r + 1) px, read-only."""
    y, x = np.mgrid[-radius_px : radius_px + 1, -radius_px : radius_px + 1]
    filled = np.asarray(x * x + y * y <= radius_px * radius_px + 0.5, dtype=np.uint8)
    filled.setflags(write=False)
    return filled


def grown(mask: Flags, radius_px: int) -> Flags:
    """Mask widened by a disc."""
    return np.asarray(cv2.dilate(mask, disc(radius_px)), dtype=np.uint8)


def connected(mask: Flags, smallest_px: int) -> list[Piece]:
    """Connected groups of pixels (eight neighbours) of at least the given area, in reading order of their labels."""
    n, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    out = []
    for number in range(1, n):
        x, y, width, height, area = (int(v) for v in stats[number])
        if area >= smallest_px:
            part = (labels[y : y + height, x : x + width] == number).astype(np.uint8)
            out.append(Piece(part, x, y, is_line=False))
    return out
