"""How much of the dome both sides show: only there can anything be said about a change."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from grader.compare.sides import Alignment, Sides
from grader.sets.constants import COVERAGE_CLEAR
from grader.sets.coverage import BANDS, band_of, dome_places, surface_share
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import to_photo


@dataclass(frozen=True, slots=True)
class SharedDome:
    """Shares of the dome's surface, 0 to 1."""

    both_ratio: float
    """Seen clearly by at least one photo of each side."""
    before_ratio: float
    """Seen clearly by at least one earlier photo."""
    after_ratio: float
    """Seen clearly by at least one later photo."""
    bands: tuple[tuple[str, float], ...]
    """Each band with the share of it that both sides show."""


def measure_shared(sides: Sides, alignment: Alignment) -> SharedDome:
    """What of the dome both sides show; photos whose turn is not sure count for nothing, the main photo excepted."""
    places, areas = dome_places(sides.after[0].surface)
    before = _seen(places, sides.before, alignment.before)
    after = _seen(places, sides.after, alignment.after)
    both, band = before & after, band_of(places)
    return SharedDome(
        both_ratio=surface_share(both, areas),
        before_ratio=surface_share(before, areas),
        after_ratio=surface_share(after, areas),
        bands=tuple(
            (name, surface_share(both[band == k], areas[band == k]))
            for k, name in enumerate(BANDS)
            if (band == k).any()
        ),
    )


def _seen(places: FloatArray, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> npt.NDArray[np.bool_]:
    """Places (N, 3) that at least one photo of a side shows clearly, (N,)."""
    clear = np.zeros(len(places), dtype=np.bool_)
    for photo, turn in zip(photos, turns, strict=True):
        if turn.is_sure:
            clear |= to_photo(places, photo, turn)[1] >= COVERAGE_CLEAR
    return clear
