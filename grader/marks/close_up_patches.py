"""Broad damage in a close-up: contusions, chips, wide scratches, and spots that are more than a few pixels wide."""

import cv2
import numpy as np

from grader.marks.close_up_constants import (
    PATCH_ABOVE_LEVEL,
    PATCH_AREA_PX,
    PATCH_ENERGY_SHARE,
    PATCH_LEVELS,
    PATCH_OPENING_PX,
    PATCH_STRENGTH,
    SPOT_AREA_PX,
    SPOT_HIGH,
    SPOT_LOW,
    SPOT_SHARE,
    SPOT_SIGMA_PX,
)
from grader.marks.close_up_ground import Ground, relative_energy
from grader.marks.close_up_piece import Flags, Piece, connected, disc, grown

_STRONG_PERCENTILE = 70  # Source: benchmark real_glass; three tenths of a patch must be strong


def find_patches(ground: Ground) -> list[Piece]:
    """Broad marks, each outlined at a level that suits its own strength.

    From strong to faint: at each level the pixels that stand out are closed, what a disc does not fit into is
    cut off, and what is left is a patch. So a strong mark is outlined tightly and does not run into the faint
    hairlines round it, which come at a later level.
    """
    strength = np.abs(ground.signed)
    free = np.ones(strength.shape, np.uint8)
    taken = np.zeros_like(free)
    found: list[Piece] = []
    for level in PATCH_LEVELS:
        core = ((strength > level) & (ground.energy > PATCH_ENERGY_SHARE * level)).astype(np.uint8) & free
        needed = PATCH_STRENGTH if level == PATCH_LEVELS[-1] else max(PATCH_STRENGTH, PATCH_ABOVE_LEVEL * level)
        for piece in connected(_broad(core), PATCH_AREA_PX):
            energy = ground.energy[piece.window()][piece.mask > 0]
            if np.percentile(energy, _STRONG_PERCENTILE) >= needed:
                found.append(piece)
                piece.paint(taken)
        free = 1 - grown(taken, PATCH_OPENING_PX + 1)
    return found


def _broad(core: Flags) -> Flags:
    """Closed pixels into which a disc fits, with up to 2 px of what hangs on to them."""
    shape = disc(PATCH_OPENING_PX)
    closed = cv2.morphologyEx(core, cv2.MORPH_CLOSE, shape)
    opened = cv2.morphologyEx(closed, cv2.MORPH_OPEN, shape)
    return np.asarray(grown(opened, 2) & closed)


def find_spots(ground: Ground, cover: Flags) -> list[Piece]:
    """Small compact marks outside ``cover`` (H, W): pixels round a peak of the energy, dark or bright."""
    energy = relative_energy(ground.residual_code, ground.clean, SPOT_SIGMA_PX)
    loud = ((energy > SPOT_LOW) & (cover == 0)).astype(np.uint8)
    found = []
    for piece in connected(loud, SPOT_AREA_PX):
        values = energy[piece.window()]
        peak = float(values[piece.mask > 0].max())
        if peak >= SPOT_HIGH:
            tight = piece.mask & (values > max(SPOT_SHARE * peak, SPOT_LOW)).astype(np.uint8)
            found.append(Piece(tight, piece.x_px, piece.y_px, is_line=False))
    return found
