"""Draws a piece of a close-up in to what stands out by its own measure, so that outlines are tight."""

import cv2
import numpy as np

from grader.marks.close_up_constants import TRIM_LEVEL, TRIM_SHARE, TRIM_STRENGTH
from grader.marks.close_up_ground import Ground
from grader.marks.close_up_piece import Flags, Piece, disc

_STRONG_PERCENTILE = 90  # Source: a tenth of a thin line's ribbon is its middle
_CLOSING_PX = 4  # Source: gaps between the beads of a scratch, and the noise along its edges
_MOST = 0.9  # Source: what is lost is crumbs then, benchmark real_glass


def trimmed(piece: Piece, ground: Ground) -> Piece:
    """The piece without the halo that blurred evidence lends it.

    The search works on blurred squares, in which a strong mark reaches several px beyond its border. Kept are the
    pixels that stand out by a share of the mark's own strength, and what they enclose. Faint marks, whose pixels do not
    stand out one by one, stay as they are, and so do those that would fall apart.
    """
    strength = np.abs(ground.signed[piece.window()])
    strong = float(np.percentile(strength[piece.mask > 0], _STRONG_PERCENTILE))
    if strong < TRIM_STRENGTH:
        return piece
    kept = ((strength > max(TRIM_LEVEL, TRIM_SHARE * strong)) & (piece.mask > 0)).astype(np.uint8)
    kept = _closed(kept) & piece.mask
    largest = _largest(kept)
    if largest.sum() < _MOST * kept.sum():
        return piece
    return _cut(piece, largest)


def _closed(kept: Flags) -> Flags:
    """Gaps of up to twice _CLOSING_PX closed."""
    padded = np.pad(kept, _CLOSING_PX)
    closed = cv2.morphologyEx(padded, cv2.MORPH_CLOSE, disc(_CLOSING_PX))
    return np.asarray(closed[_CLOSING_PX:-_CLOSING_PX, _CLOSING_PX:-_CLOSING_PX])


def _largest(kept: Flags) -> Flags:
    """The largest connected part (eight neighbours)."""
    n, labels, stats, _ = cv2.connectedComponentsWithStats(kept, connectivity=8)
    if n < 2:
        return kept
    return np.asarray(labels == 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA])), dtype=np.uint8)


def _cut(piece: Piece, kept: Flags) -> Piece:
    """The piece with other pixels, its mask cut to them."""
    rows, columns = np.flatnonzero(kept.any(axis=1)), np.flatnonzero(kept.any(axis=0))
    mask = kept[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    x_px, y_px = piece.x_px + int(columns[0]), piece.y_px + int(rows[0])
    return Piece(
        np.ascontiguousarray(mask), x_px, y_px, piece.is_line, piece.length_px, piece.line_signal, piece.path_px
    )
