"""What is known of how high the piece's widest ring lies above the card, and where that comes from.

A photo from above does not show this height, but the millimetres depend on it: the ring is nearer to the camera than
the card. Paperweights are made alike, though: a dome on a ground-off foot. So its share of the width is known to
some tenths, and any better knowledge (a typed height, a side photo, mirror images in the glass) takes its place.
"""

from dataclasses import dataclass
from typing import TypeAlias

from grader.outline.constants import (
    RING_OF_HEIGHT_RATIO,
    RING_OF_WIDTH_RATIO,
    RISE_OF_WIDTH_RATIO,
    U_RING_OF_HEIGHT_RATIO,
    U_RING_OF_WIDTH_RATIO,
    U_TYPED_HEIGHT_MM,
)


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

    ring_ratio: float = RING_OF_WIDTH_RATIO
    """Height of the widest ring as a share of the mean width."""
    u_ring_ratio: float = U_RING_OF_WIDTH_RATIO
    """Its standard uncertainty."""
    rise_ratio: float = RISE_OF_WIDTH_RATIO
    """From the ring to the top, as a share of the mean width."""

    def ring_height(self, width_mm: float) -> RingHeight:
        """Heights of a piece of this mean width."""
        return RingHeight(
            self.ring_ratio * width_mm,
            self.u_ring_ratio * width_mm,
            self.rise_ratio * width_mm,
            "usual shape of paperweights",
        )


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
        ring = RING_OF_HEIGHT_RATIO * self.height_mm
        u_ring = (
            (U_RING_OF_HEIGHT_RATIO * self.height_mm) ** 2 + (RING_OF_HEIGHT_RATIO * self.u_height_mm) ** 2
        ) ** 0.5
        return RingHeight(ring, u_ring, self.height_mm - ring, "measured height")


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


HeightKnowledge: TypeAlias = UsualShape | TypedHeight | SeenHeight


def height_knowledge(height_mm: float | None) -> HeightKnowledge:
    """Knowledge that a typed height gives, or the usual shape where none was typed."""
    if height_mm is None:
        return UsualShape()
    return TypedHeight(height_mm, U_TYPED_HEIGHT_MM)
