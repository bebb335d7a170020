"""Whether two charts of a design have the same colours, whatever the light's colour and a veil over one of them."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.compare.same_constants import (
    BALANCE_ROUNDS,
    BALANCE_SPREAD,
    FADE_REACH,
    HUE_LEAST_PLACES,
    HUE_SPREAD_RATIO,
    U_HUE,
)


@dataclass(frozen=True, slots=True)
class ColourMatch:
    """How the hues of one photo become those of the other, and what is left."""

    offset: float
    """Change of white balance that would be needed, log ratio of two colours."""
    left: float
    """Median difference of hues that is left, in their doubts."""
    strength: float
    """How coloured the design is, root mean square log ratio."""


def match_colours(hues: FloatArray) -> ColourMatch:
    """Compare hues (2, M, 2) at the same places of two charts.

    The second's hues are those of the first, faded by one factor (a veil of mirrored light), plus one change of white
    balance, which is small a priori. With fewer than a few places nothing is said: all numbers are 0.
    """
    first, second = hues
    if len(first) < HUE_LEAST_PLACES:
        return ColourMatch(0.0, 0.0, 0.0)
    offset, weight = np.zeros(2), np.ones(len(first))
    fade = 1.0
    for _ in range(BALANCE_ROUNDS):
        power = [
            float((weight * (one**2).sum(axis=1)).sum()) + len(first) * U_HUE**2 for one in (first, second - offset)
        ]
        fade = float(np.clip(np.sqrt(power[1] / power[0]), 1 / FADE_REACH, FADE_REACH))
        left = second - fade * first
        # The balance is one number for all places, so that they count together as a few only.
        offset = (weight[:, None] * left).sum(axis=0) / (weight.sum() * (1 + (U_HUE / BALANCE_SPREAD) ** 2))
        apart = np.linalg.norm(left - offset, axis=1)
        weight = 1 / (1 + (apart / U_HUE) ** 2)
    strength = float(np.sqrt((first**2).sum(axis=1).mean()))
    doubt = U_HUE + HUE_SPREAD_RATIO * strength
    return ColourMatch(float(np.abs(offset).max()), float(np.median(apart)) / doubt, strength)
