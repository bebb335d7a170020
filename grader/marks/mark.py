"""One mark on a piece: what it is, where it lies, how large it is and how sure that is."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calib.arrays import PointsPx
from calib.measured import Measured


class MarkKind(StrEnum):
    """What a mark can be; the values are the words in records."""

    SCRATCH = 'scratch'
    CHIP = 'chip'
    BUBBLE = 'bubble'
    BRUISE = 'bruise'
    DUST = 'dust'


DAMAGE_KINDS = (MarkKind.SCRATCH, MarkKind.CHIP, MarkKind.BRUISE)
"""Kinds that happened to the piece after it was made; bubbles are of the making, dust wipes off."""

ZONES = ('crown', 'shoulder', 'rim')
"""Rings of the dome as seen from above, from the middle outwards."""


BASE_ZONE = 'base'
"""The underside, which only a photo of the upturned piece shows."""


def is_damage(kind: MarkKind) -> bool:
    """Return whether a mark of this kind is damage to the glass."""
    return kind in DAMAGE_KINDS


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """A mark as one photo (or several, merged) shows it.

    The fields in mm are sizes on the glass; they are ``None`` only where the photo has no card.
    """

    kind: MarkKind
    """The likeliest kind."""
    confidence: float
    """Probability, 0 to 1, that this is a mark at all and not design, glare or noise."""
    kind_odds: tuple[tuple[MarkKind, float], ...]
    """Probability of each kind, given that it is a mark; they sum to 1."""
    outline_px: PointsPx
    """Closed outline in the image frame, shape (N, 2), float64, read-only; the last point is not the first again."""
    centre_px: tuple[float, float]
    """Middle of the mark in the image frame, (x, y)."""
    length_px: float
    """Length along the mark as the photo shows it, px."""
    width_px: float
    """Width across the mark as the photo shows it, px."""
    diameter_px: float
    """Diameter of the disc of equal area as the photo shows it, px."""
    length_mm: Measured | None
    """Length on the glass."""
    width_mm: Measured | None
    """Width on the glass."""
    diameter_mm: Measured | None
    """Diameter of the disc of equal area on the glass."""
    area_mm2: float | None
    """Area on the glass, mm2."""
    clock_h: float | None
    """Clock position, 0 <= h < 12; 12 o'clock is the card's top edge, or the photo's top without a card."""
    zone: str
    """One of ``ZONES``, ``BASE_ZONE``, or '' where it is not known."""
    facing: float | None
    """Cosine between the glass surface and the direction to the camera, 0 to 1."""
    flags: tuple[str, ...] = ()
    """Names of the reasons to doubt this mark or its sizes."""
    radius_ratio: float | None = None
    """Place between the middle (0) and the rim (1) of the piece seen from above; ``None`` where it is not known."""

    def __post_init__(self) -> None:
        outline_px = np.array(self.outline_px, dtype=np.float64, copy=True)
        if outline_px.ndim != 2 or outline_px.shape[1] != 2:
            raise ValueError(f'outline_px must have shape (N, 2), got {outline_px.shape}')
        if not 0.0 <= self.confidence <= 1.0:
            raise ValueError(f'confidence must lie in [0, 1], got {self.confidence}')
        if self.zone not in ('', *ZONES, BASE_ZONE):
            raise ValueError(f'zone must be one of {(*ZONES, BASE_ZONE)} or empty, got {self.zone!r}')
        if self.clock_h is not None and not 0.0 <= self.clock_h < 12.0:
            raise ValueError(f'clock_h must lie in [0, 12), got {self.clock_h}')
        outline_px.setflags(write=False)
        object.__setattr__(self, 'outline_px', outline_px)

    @property
    def damage_probability(self) -> float:
        """Probability, 0 to 1, that this is damage: a mark, and of a kind that is damage."""
        return self.confidence * sum(odds for kind, odds in self.kind_odds if is_damage(kind))

    def odds_of(self, kind: MarkKind) -> float:
        """Return the probability of `kind`, given that it is a mark (0 for a kind not listed)."""
        return sum(odds for listed, odds in self.kind_odds if listed == kind)
