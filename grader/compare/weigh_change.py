"""Was a mark on the other side too? What the photos there show at its place, as probabilities."""

import math
from collections.abc import Sequence

from grader.compare.constants import (
    AMOUNT_SEEN_RANGE,
    AMOUNT_SEEN_SPREADS,
    LEAST_VISIBLE,
    LOG_ODDS_REACH,
    NEW_BUBBLE_FLOOR,
    NEW_DUST_FLOOR,
    NEW_WEIGHTS,
    SEEN_SLOPE,
    SEEN_START,
)
from grader.compare.could_show import log_odds_of, only_low_light, show_log_odds
from grader.compare.place_look import PlaceLook
from grader.marks.mark import MarkKind
from grader.quality.light import LightKind
from grader.sets.layer import KindOdds


def chance_new(confidence: float, kinds: KindOdds, looks: Sequence[PlaceLook], light: LightKind) -> float:
    """Probability, 0 to 1, that a mark of the later side is damage, and that it was not there before.

    A logistic model: of the sureness of the mark, its kind, the network's log-odds at its place in that earlier photo,
    of those that show the place, which speaks loudest for a mark there, and how well the best of them would show it.
    0 where none shows the place.

    Parameters
    ----------
    confidence : float
        That there is a mark, by the photos of the later side.
    kinds
        Odds of each kind.
    looks : sequence of PlaceLook
        One a photo of the earlier side.
    light : 'coaxial', 'low' or 'unknown'
        Light of the photo that shows the mark.
    """
    clear = [look for look in looks if look.visible >= LEAST_VISIBLE]
    if not clear:
        return 0.0
    odds, w = dict(kinds), NEW_WEIGHTS
    loudest = max(clear, key=lambda look: (_cut(look.log_odds), -look.photo))
    total = (
        w['start']
        + w['confidence'] * log_odds_of(confidence)
        + w['log-odds there'] * _cut(loudest.log_odds)
        + w['not dust'] * math.log(1 - odds.get(MarkKind.DUST, 0.0) + NEW_DUST_FLOOR)
        + w['no bubble'] * math.log(1 - odds.get(MarkKind.BUBBLE, 0.0) + NEW_BUBBLE_FLOOR)
        + w['would show'] * max(show_log_odds(look, confidence, light) for look in clear)
        + w['only low light then'] * all(only_low_light(look, light) for look in clear)
    )
    return 1 / (1 + math.exp(-total))


def chance_seen(look: PlaceLook) -> float:
    """Probability, 0 to 1, that what a photo shows at a place is the mark, if it could show it."""
    return 1 / (1 + math.exp(-SEEN_SLOPE * (_cut(look.log_odds) - SEEN_START)))


def is_seen_in(look: PlaceLook) -> bool:
    """Whether a photo shows a mark at a place, which its own list of marks may have missed.

    By the network's odds; in the same light also by the mark's own light, where that stands far out of the surroundings
    and is as strong as in the photo that shows the mark.
    """
    if not look.is_placed or look.visible < LEAST_VISIBLE:
        return False
    if look.log_odds > 0:
        return True
    there = look.registered
    if there is None or not look.same_light:
        return False
    low, high = AMOUNT_SEEN_RANGE
    return low <= there.amount <= high and there.amount >= AMOUNT_SEEN_SPREADS * there.u_amount


def _cut(log_odds: float) -> float:
    return min(max(log_odds, -LOG_ODDS_REACH), LOG_ODDS_REACH)
