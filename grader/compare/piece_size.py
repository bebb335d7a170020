"""What the measured widths say: whether they agree within both uncertainties."""

import math
from dataclasses import dataclass

from calib.measured import Measured, mean_of
from grader.compare.same_constants import (
    OTHER_MAKE,
    OTHER_MAKE_RATIO,
    OUTLINE_WRONG,
    OUTLINE_WRONG_RATIO,
    SIZE_CLIP,
    SIZE_MODEL_RATIO,
    STRANGER_SPREAD_RATIO,
)
from grader.sets.set_photo import SetPhoto
from grader.size.diameter import RING_HEIGHT


@dataclass(frozen=True, slots=True)
class SizeMatch:
    """Widths of both sides, and what they say."""

    before: Measured
    """Mean width before, mm."""
    after: Measured
    """Mean width after, mm."""
    log_odds: float
    """Natural log of the likelihood ratio of their difference: one piece against two of one make."""

    @property
    def agree(self) -> bool:
        """Whether they agree within both expanded uncertainties (k = 2)."""
        return abs(self.before.value - self.after.value) <= 2 * math.hypot(self.before.u, self.after.u)


class NoSize:
    """One side was not measured in mm, so that sizes say nothing."""


def match_sizes(before: SetPhoto, after: SetPhoto) -> SizeMatch | NoSize:
    """Compare the widths that the best photo of each side gives.

    Both must have been measured with one height: its doubt moves both alike and drops out.
    """
    first, second = (_mean_width(photo) for photo in (before, after))
    if first is None or second is None:
        return NoSize()
    return SizeMatch(first, second, size_log_odds(first, second))


def size_log_odds(first: Measured, second: Measured) -> float:
    """Log likelihood ratio of two widths: of one piece, against two pieces of one make.

    Of one piece the difference is normal, as wide as both uncertainties and what the form adds; of two it has a Laplace
    distribution, as wide as pieces of one make differ, and at times as others do. One outline in some is wrong by more
    than it says, so that widths alone never rule a piece out.
    """
    mean = (first.value + second.value) / 2
    apart = abs(first.value - second.value) / mean
    spread = math.hypot(*(_own_doubt(one) / mean for one in (first, second)), SIZE_MODEL_RATIO)
    normal = math.exp(-0.5 * (apart / spread) ** 2) / (spread * math.sqrt(2 * math.pi))
    same = (1 - OUTLINE_WRONG) * normal + OUTLINE_WRONG * _laplace(apart, OUTLINE_WRONG_RATIO)
    make = (1 - OTHER_MAKE) * _laplace(apart, STRANGER_SPREAD_RATIO) + OTHER_MAKE * _laplace(apart, OTHER_MAKE_RATIO)
    return min(max(math.log(same / make), -SIZE_CLIP), SIZE_CLIP)


def _laplace(apart: float, spread: float) -> float:
    """Density of a difference whose mean is `spread`."""
    return math.exp(-apart / spread) / (2 * spread)


def _mean_width(photo: SetPhoto) -> Measured | None:
    """Mean of largest and smallest width; None without a scale."""
    widths = photo.findings.diameters
    if widths.max_mm is None or widths.min_mm is None:
        return None
    return mean_of([widths.max_mm, widths.min_mm])


def _own_doubt(width: Measured) -> float:
    """Standard uncertainty of a width, mm, but for the height that both share."""
    return math.hypot(*(part for cause, part in width.components if cause != RING_HEIGHT), 0.0)
