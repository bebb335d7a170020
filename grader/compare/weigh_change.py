"""Was a mark there before? The looks of the other side's photos weighed, as probabilities."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.compare.constants import (
    AMOUNT_CLEAN,
    AMOUNT_SEEN,
    FALSE_AGAIN,
    NEW_BUBBLE,
    NEW_SHARE,
    SEEN_CLIP,
    U_AMOUNT_SEEN,
)
from grader.compare.could_show import chance_to_show
from grader.compare.place_look import PlaceLook
from grader.marks.mark import MarkKind
from grader.quality.light import LightKind
from grader.sets.layer import KindOdds
from grader.sets.looks import seen_ratio


@dataclass(frozen=True, slots=True)
class ChangeOdds:
    """What became of a mark that one side shows; the three sum to 1."""

    only_here: float
    """That it is there, and was not (or is not) on the other side."""
    on_both: float
    """That it is on both."""
    no_mark: float
    """That there is no mark at all."""

    @property
    def on_both_if_mark(self) -> float:
        """That it is on both sides, given that there is a mark."""
        return self.on_both / max(self.only_here + self.on_both, 1e-12)


def weigh_change(confidence: float, kinds: KindOdds, looks: Sequence[PlaceLook], light: LightKind) -> ChangeOdds:
    """Weigh three ways: only on this side, on both, or no mark.

    Each photo of the other side that could show the mark speaks by what it shows at the place, as likelihoods (Bayes);
    several in one light count as the root of their number.

    Parameters
    ----------
    confidence : float
        That there is a mark, by the photos of this side.
    kinds
        Odds of each kind.
    looks : sequence of PlaceLook
        One a photo of the other side.
    light : 'coaxial', 'low' or 'unknown'
        Light of the photo that shows the mark.
    """
    both = nothing = 1.0
    weight = 1 / math.sqrt(max(len(looks), 1))
    for look in looks:
        ratio = math.exp(seen_log_ratio(look))
        chance = chance_to_show(look, light)
        both *= (chance * ratio + 1 - chance) ** weight
        again = FALSE_AGAIN if look.same_light else FALSE_AGAIN / 2
        again *= look.visible
        nothing *= (again * ratio + 1 - again) ** weight
    new = NEW_SHARE * _may_arise(kinds)
    ways = np.array([confidence * new, confidence * (1 - new) * both, (1 - confidence) * nothing])
    only_here, on_both, no_mark = ways / ways.sum()
    return ChangeOdds(float(only_here), float(on_both), float(no_mark))


def seen_log_ratio(look: PlaceLook) -> float:
    """Log of how many times likelier the look is where the mark is seen than where the glass is clean.

    By the network's odds; in the same light also by how much of the mark's own light is there.
    """
    if not math.isfinite(look.log_odds):
        return 0.0
    log_ratio = float(np.log(seen_ratio(np.array(look.log_odds))))
    if look.same_light and look.registered is not None:
        amount, u_amount = look.registered.amount, look.registered.u_amount
        seen = _log_normal(amount, AMOUNT_SEEN, math.hypot(U_AMOUNT_SEEN, u_amount))
        clean = _log_normal(amount, AMOUNT_CLEAN + u_amount, math.hypot(AMOUNT_CLEAN, u_amount))
        log_ratio += seen - clean
    return float(np.clip(log_ratio, -SEEN_CLIP, SEEN_CLIP))


def _log_normal(value: float, mean: float, spread: float) -> float:
    return -0.5 * ((value - mean) / spread) ** 2 - math.log(spread)


def _may_arise(kinds: KindOdds) -> float:
    """Share of the kinds' odds that may arise between two sides: bubbles hardly."""
    return sum(odds * (NEW_BUBBLE if kind == MarkKind.BUBBLE else 1.0) for kind, odds in kinds)
