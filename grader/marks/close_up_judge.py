"""Judges a piece of a close-up: how much it stands out, how sure that is, what kind it is, and its outline."""

import math
from dataclasses import dataclass, replace
from enum import StrEnum

import cv2
import numpy as np

from calib.arrays import PointsPx
from grader.marks.close_up_constants import (
    AREA_DISCOUNT,
    CONFIDENCE_HALF,
    CONFIDENCE_STEEPNESS,
    CONTUSION_BOTH,
    CONTUSION_DARK_WIDTH_PX,
    CONTUSION_WIDTH_PX,
    DARK_LEVEL,
    DARK_WEIGHT,
    SPOT_ELONGATION,
    SPOT_RIBBON,
)
from grader.marks.close_up_ground import Ground
from grader.marks.close_up_piece import Piece
from grader.marks.mark import MarkKind

_STRONG_PERCENTILE = 75  # Source: benchmark real_glass; a quarter of a contusion is strong in both lights
_COARSE_SHARE = 0.15  # Source: benchmark real_glass; keeps the length of straight tracks within 10 %
_HALF = 0.5  # Source: the larger part decides
_OUTLINE_TOLERANCE_PX = 0.7  # Source: below one pixel step, so that the outline stays tight


class CloseUpKind(StrEnum):
    """What a close-up without scale can tell apart; the values are the words in records."""

    SCRATCH = 'scratch'
    CONTUSION = 'contusion'
    SPOT = 'spot'

    @property
    def could_be(self) -> tuple[MarkKind, ...]:
        """What a mark of this kind can be in the words of the examination, the likeliest first.

        A contusion is glass crushed or gouged out along a track: to a collector it is a broad scratch or a chip,
        never a bruise, which is a crack under a whole surface. A spot may be a pit (a small chip), a speck of
        dust or a bubble; only wiping, or a second place of the camera, tells.
        """
        return _COULD_BE[self]


_COULD_BE = {
    CloseUpKind.SCRATCH: (MarkKind.SCRATCH,),
    CloseUpKind.CONTUSION: (MarkKind.CHIP, MarkKind.SCRATCH),
    CloseUpKind.SPOT: (MarkKind.CHIP, MarkKind.DUST, MarkKind.BUBBLE),
}


@dataclass(frozen=True, slots=True, eq=False)
class CloseUpMark:
    """A mark on a close-up of glass. All lengths are in px of the photo given."""

    kind: CloseUpKind
    """Thin line, broad grainy track, or compact mark."""
    polygon_px: PointsPx
    """Closed outline (N, 2), float64, read-only; the last point is not the first again."""
    confidence: float
    """Probability, 0 to 1, that something is on (or in) the glass here and not noise, haze or a filter's echo."""
    salience: float
    """log10 of the mark's squared signal-to-noise ratio; what the confidence is made from."""
    length_px: float
    """Length along the mark."""
    width_px: float
    """Mean width across it."""
    darkness_ratio: float
    """Share of the signal that is darker than the ground, 0 to 1."""

    def enlarged(self, ratio_x: float, ratio_y: float) -> 'CloseUpMark':
        """Return the mark in px of a photo larger by the given ratios; pixel centres stay pixel centres."""
        polygon_px = (self.polygon_px + 0.5) * (ratio_x, ratio_y) - 0.5
        polygon_px.setflags(write=False)
        ratio = math.sqrt(ratio_x * ratio_y)
        return replace(self, polygon_px=polygon_px, length_px=self.length_px * ratio, width_px=self.width_px * ratio)


def judge(piece: Piece, ground: Ground) -> CloseUpMark:
    """Measure one piece against the ground."""
    inside = piece.mask > 0
    energy = ground.energy[piece.window()][inside]
    signed = ground.signed[piece.window()][inside]
    outline_px = _outline(piece)
    length_px, width_px = _extent(piece)
    squared = np.square(signed)
    dark = float(squared[signed < 0].sum())
    total = float(squared.sum())
    darkness_ratio = dark / total if total > 0 else 0.0
    surely_dark = float(np.maximum(squared[signed < 0] - DARK_LEVEL**2, 0).sum())
    signal = _excess(energy) + DARK_WEIGHT**ground.bright_ratio * surely_dark
    salience = _salience(max(signal, piece.line_signal), len(energy))
    kind = _kind(piece, ground, length_px, width_px, darkness_ratio)
    confidence = confidence_of(salience)
    return CloseUpMark(kind, outline_px, confidence, salience, length_px, width_px, darkness_ratio)


def kind_in_both(mark: CloseUpMark, widest_px: float, piece: Piece, grounds: tuple[Ground, Ground]) -> CloseUpKind:
    """Kind of a mark that two lights were looked at for.

    What is crushed or gouged scatters light away in both; a scratch, however wide, hardly darkens the light from
    behind. So an elongated mark is a contusion if it is broad in either light and stands out in both.

    Parameters
    ----------
    mark, piece
        The mark in the light that shows more of it, and its pixels.
    widest_px : float
        Its width in the light that shows it broader.
    grounds : tuple of Ground
        Both photos, in the px of the first.
    """
    if mark.kind is CloseUpKind.SPOT:
        return mark.kind
    inside = piece.mask > 0
    weaker = min(float(np.percentile(g.energy[piece.window()][inside], _STRONG_PERCENTILE)) for g in grounds)
    broad = widest_px >= CONTUSION_DARK_WIDTH_PX
    return CloseUpKind.CONTUSION if broad and weaker >= CONTUSION_BOTH else CloseUpKind.SCRATCH


def confidence_of(salience: float) -> float:
    """Probability, 0 to 1, that a mark of this salience is one and not noise (logistic)."""
    return 1 / (1 + math.exp(-CONFIDENCE_STEEPNESS * (salience - CONFIDENCE_HALF)))


def _salience(signal: float, area: int) -> float:
    """log10 of the summed squared signal-to-noise ratio, dark pixels weighted up, over a power of the area.

    The sum is what the likelihood ratio of a known mark in white noise tests (matched filter). The power of the
    area takes back a part of what a large mark gains by mere size, since its pixels share their causes.
    """
    return math.log10(signal + 1) - AREA_DISCOUNT * math.log10(area)


def _excess(energy: np.ndarray) -> float:
    """Squared signal-to-noise ratio summed over the pixels."""
    return float(np.maximum(energy**2 - 1, 0).sum())


def _outline(piece: Piece) -> PointsPx:
    """Closed outline of the piece's largest part, (N, 2) photo px, read-only."""
    contours, _ = cv2.findContours(piece.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = cv2.approxPolyDP(max(contours, key=len), _OUTLINE_TOLERANCE_PX, True)
    outline_px = np.asarray(largest[:, 0], dtype=np.float64) + (piece.x_px, piece.y_px)  # noqa: RUF005
    outline_px.setflags(write=False)
    return outline_px


def _extent(piece: Piece) -> tuple[float, float]:
    """Length and mean width, px, at least 1 each.

    Marks are taken for a ribbon, straight or bent, of the same area and perimeter; the
    perimeter is that of a coarse outline, since ragged edges are not length. A line is no longer than its path.
    """
    area = float(piece.area_px())
    contours, _ = cv2.findContours(piece.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    tolerance_px = _COARSE_SHARE * math.sqrt(area)
    coarse = cv2.approxPolyDP(max(contours, key=len), tolerance_px, True)
    half = max(cv2.arcLength(coarse, True) / 2 + 2, 2 * math.sqrt(area))
    length = (half + math.sqrt(max(half * half - 4 * area, 0.0))) / 2
    if piece.is_line:
        length = min(length, piece.length_px)
    return max(length, 1.0), max(area / max(length, 1.0), 1.0)


def _kind(piece: Piece, ground: Ground, length_px: float, width_px: float, darkness_ratio: float) -> CloseUpKind:
    """Compact marks are spots; long ones are contusions if broad, else scratches."""
    if _elongation(piece, ground) < SPOT_ELONGATION and (piece.is_line or length_px < SPOT_RIBBON * width_px):
        return CloseUpKind.SPOT
    broad_px = CONTUSION_WIDTH_PX if darkness_ratio < _HALF else CONTUSION_DARK_WIDTH_PX
    return CloseUpKind.CONTUSION if width_px >= broad_px else CloseUpKind.SCRATCH


def _elongation(piece: Piece, ground: Ground) -> float:
    """Length over width by second moments, in which each pixel counts by its signal; faint tails hardly matter."""
    rows, columns = np.nonzero(piece.mask)
    energy = ground.energy[piece.window()][rows, columns].astype(np.float64)
    weight = np.maximum(energy**2 - 1, 0) + 1e-6
    points = np.stack([columns, rows], axis=1) - np.average([columns, rows], axis=1, weights=weight)
    moments = (points * weight[:, None]).T @ points / weight.sum()
    small, large = np.linalg.eigvalsh(moments) + 1 / 12
    return float(np.sqrt(large / small))
