"""What is known of how high the piece's widest ring lies above the card, and where that comes from.

A photo from above does not show this height, but the millimetres depend on it: the ring is nearer to the camera than
the card. Paperweights are made alike, though: a dome on a ground-off foot. So its share of the width is known to
some tenths, and any better knowledge (a typed height, a side photo, mirror images in the glass) takes its place.
"""

import math
from dataclasses import dataclass
from typing import TypeAlias

from calib.measured import Measured
from grader.outline.constants import (
    RING_OF_RISE_RATIO,
    RING_OF_WIDTH_RATIO,
    RISE_OF_WIDTH_RATIO,
    SHAPE_KINDS,
    U_RING_OF_RISE_RATIO,
    U_RING_OF_WIDTH_RATIO,
    U_TYPED_HEIGHT_MM,
)
from grader.outline.turned_piece import TurnedPiece


@dataclass(frozen=True, slots=True)
class RingHeight:
    """Heights of a dome of given width."""

    ring_mm: float
    """Height of the widest ring above the card."""
    u_ring_mm: float
    """Standard uncertainty of `ring_mm`."""
    rise_mm: float
    """From the widest ring to the top."""
    source: str
    """Where they come from, in words."""


@dataclass(frozen=True, slots=True)
class UsualShape:
    """Nothing but that paperweights are made alike: heights as shares of the width."""

    def ring_height(self, width_mm: float) -> RingHeight:
        """Heights of a piece of this mean width."""
        return RingHeight(
            RING_OF_WIDTH_RATIO * width_mm,
            U_RING_OF_WIDTH_RATIO * width_mm,
            RISE_OF_WIDTH_RATIO * width_mm,
            "usual shape of paperweights",
        )

    def log_odds(self, ring_mm: float, rise_mm: float, width_mm: float) -> float:
        """Log of how usual a dome of these heights and this mean width is, less a constant."""
        rise = 2 * rise_mm / width_mm
        kinds = sum(share / u * math.exp(-0.5 * ((rise - usual) / u) ** 2) for share, usual, u in SHAPE_KINDS)
        return math.log(kinds + 1e-300) + _foot_log_odds(ring_mm, rise_mm)


@dataclass(frozen=True, slots=True)
class TypedHeight:
    """The whole height of the piece as somebody measured it."""

    height_mm: float
    """From the foot to the top."""
    u_height_mm: float
    """Its standard uncertainty."""

    def __post_init__(self) -> None:
        if not (self.height_mm > 0 and self.u_height_mm > 0):
            raise ValueError(f'height and uncertainty must be positive, got {self.height_mm}, {self.u_height_mm}')

    def ring_height(self, width_mm: float) -> RingHeight:
        """Heights of the piece, whatever its width."""
        share = RING_OF_RISE_RATIO / (1 + RING_OF_RISE_RATIO)
        u_share = U_RING_OF_RISE_RATIO / (1 + RING_OF_RISE_RATIO) ** 2
        u_ring = math.hypot(u_share * self.height_mm, share * self.u_height_mm)
        return RingHeight(share * self.height_mm, u_ring, (1 - share) * self.height_mm, "measured height")

    def log_odds(self, ring_mm: float, rise_mm: float, width_mm: float) -> float:
        """Log of how well a dome of these heights agrees with the measured one, less a constant."""
        off = (ring_mm + rise_mm - self.height_mm) / self.u_height_mm
        return -0.5 * off**2 + _foot_log_odds(ring_mm, rise_mm)


@dataclass(frozen=True, slots=True)
class SeenHeight:
    """Heights that a photo shows: from the side, or by mirror images in the glass."""

    ring_mm: float
    """Height of the widest ring above the card."""
    u_ring_mm: float
    """Its standard uncertainty."""
    rise_mm: float
    """From the ring to the top."""
    source: str
    """In words."""

    def ring_height(self, width_mm: float) -> RingHeight:
        """Heights of the piece, whatever its width."""
        return RingHeight(self.ring_mm, self.u_ring_mm, self.rise_mm, self.source)

    def log_odds(self, ring_mm: float, rise_mm: float, width_mm: float) -> float:
        """Log of how well a dome of these heights agrees with what was seen, less a constant."""
        return -0.5 * ((ring_mm - self.ring_mm) / max(self.u_ring_mm, 1e-9)) ** 2


@dataclass(frozen=True, slots=True)
class FromSides:
    """The body that photos of the same piece from the side show."""

    piece: TurnedPiece
    """The body; its place does not matter."""
    u_ring_mm: float
    """Standard uncertainty of the widest ring's height."""
    mean_width_mm: Measured
    """Mean width of the widest ring."""
    largest_width_mm: Measured
    """Largest width of the widest ring."""

    def ring_height(self, width_mm: float) -> RingHeight:
        """Heights of the piece, whatever its width."""
        return RingHeight(self.piece.ring_mm, self.u_ring_mm, self.piece.rise_mm, "photos from the side")

    def log_odds(self, ring_mm: float, rise_mm: float, width_mm: float) -> float:
        """Log of how well a dome of these heights agrees with the body, less a constant."""
        return -0.5 * ((ring_mm - self.piece.ring_mm) / max(self.u_ring_mm, 1e-9)) ** 2


HeightKnowledge: TypeAlias = UsualShape | TypedHeight | SeenHeight | FromSides


def height_knowledge(height_mm: float | None) -> HeightKnowledge:
    """Knowledge that a typed height gives, or the usual shape where none was typed."""
    if height_mm is None:
        return UsualShape()
    return TypedHeight(height_mm, U_TYPED_HEIGHT_MM)


def _foot_log_odds(ring_mm: float, rise_mm: float) -> float:
    """Log of how usual the foot is: how much of the lower half is ground away."""
    return -0.5 * ((ring_mm / rise_mm - RING_OF_RISE_RATIO) / U_RING_OF_RISE_RATIO) ** 2
