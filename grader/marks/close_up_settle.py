"""Settles which of the overlapping pieces of a close-up stand, so that each mark is told once."""

import numpy as np

from grader.marks.close_up_constants import THIN_PATCH_PX
from grader.marks.close_up_piece import Flags, Piece, grown

_MOSTLY = 0.5  # Source: the larger part decides
_EXPLAINED = 0.6  # Source: benchmark real_glass; share of a thin patch on one line
_BEAD_RATIO = 2.0  # Source: benchmark real_glass; a spot's own ridge is less than twice its size
_HALO_PX = 3  # Source: the disc of the patches, which their outline may lack


def settle(patches: list[Piece], lines: list[Piece], shape: tuple[int, int]) -> list[Piece]:
    """Patches and lines that stand.

    A thin patch that lies mostly on one line is a part of that line and goes; a line that lies mostly in the
    patches left is their grain or their border and goes; so does a line that lies mostly on a stronger one.

    Parameters
    ----------
    patches, lines : list of Piece
        Lines come with the strongest first.
    shape : tuple of int
        Rows and columns of the photo.
    """
    standing = [p for p in patches if not (p.thickness_px() <= THIN_PATCH_PX and _on_one_line(p, lines))]
    broad = cover_of(standing, shape, _HALO_PX)
    told = np.zeros(shape, np.uint8)
    for line in lines:
        if line.share_inside(broad) <= _MOSTLY and line.share_inside(told) <= _MOSTLY:
            standing.append(line)
            line.paint(told)
    return standing


def cover_of(pieces: list[Piece], shape: tuple[int, int], margin_px: int) -> Flags:
    """(H, W) uint8, 1 on the pieces and within a margin of them."""
    cover = np.zeros(shape, np.uint8)
    for piece in pieces:
        piece.paint(cover)
    return grown(cover, margin_px)


def _on_one_line(patch: Piece, lines: list[Piece]) -> bool:
    """Return whether one line, much longer than the patch, covers most of it."""
    needed_px = _BEAD_RATIO * max(patch.mask.shape)
    least_px = _EXPLAINED * patch.area_px()
    return any(line.length_px >= needed_px and patch.shared_px(line) > least_px for line in lines)
