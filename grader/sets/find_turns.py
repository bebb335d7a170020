"""How the piece was turned about its axis from photo to photo."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from calib.arrays import FloatArray
from grader.outline.dome_view import NoCard
from grader.sets.constants import (
    TURN_CHOICES,
    TURN_SAME_STEPS,
    TURN_STATES,
    TURN_STEPS,
    TURN_SURE,
    U_TURN_DESIGN_DEG,
    UNTURNED_MASS,
    UNTURNED_MASS_WALKED,
    WALKED_DEG,
)
from grader.sets.design_map import unroll_design
from grader.sets.pair_turn import STEP_RAD, PairEvidence, unturned_log_prior, weigh_turns
from grader.sets.set_photo import SetPhoto

BY_DESIGN = "design"
BY_MARKS = "marks"
BY_HABIT = "taken as not turned"
MAIN = "the others are related to this photo"


@dataclass(frozen=True, slots=True)
class PhotoTurn:
    """How the piece stands in one photo, against the main photo."""

    turn_rad: float
    """From the main photo to this one, from the card's x to its y, -pi to pi."""
    u_turn_rad: float
    """Its standard uncertainty."""
    probability: float
    """That the turn is right to within a few degrees."""
    basis: str
    """What tells it, in words."""

    @property
    def is_sure(self) -> bool:
        """Whether it is sure enough for marks of this photo to be joined with those of others."""
        return self.probability >= TURN_SURE


def find_turns(photos: Sequence[SetPhoto]) -> tuple[PhotoTurn, ...]:
    """Turn of the piece in each photo against the first, in their order.

    Pairs of photos are weighed for each turn by the design (from above) and by the marks; then photos are joined one
    by one, and all turns together are chosen so that they agree for every pair.

    Parameters
    ----------
    photos : sequence of SetPhoto
        The main photo first.
    """
    if len(photos) == 1:
        return (PhotoTurn(0.0, 0.0, 1.0, MAIN),)
    maps = [unroll_design(photo.findings) if photo.is_from_above else None for photo in photos]
    pairs: dict[tuple[int, int], PairEvidence] = {}
    for i, j in combinations(range(len(photos)), 2):
        pairs[i, j] = weigh_turns(photos[i], photos[j], maps[i], maps[j])
        pairs[j, i] = pairs[i, j].reversed()
    prior = unturned_log_prior(UNTURNED_MASS_WALKED if was_walked_round(photos) else UNTURNED_MASS)
    states = _joined(len(photos), pairs, prior)
    best, _ = states[0]
    return (
        PhotoTurn(0.0, 0.0, 1.0, MAIN),
        *(_photo_turn(i, best, states, pairs) for i in range(1, len(photos))),
    )


def was_walked_round(photos: Sequence[SetPhoto]) -> bool:
    """Whether side photos look at the card from bearings far apart."""
    bearings = []
    for photo in photos:
        card = photo.findings.view.card
        if not photo.is_from_above and not isinstance(card, NoCard):
            x_mm, y_mm, _ = card.camera_position_mm
            bearings.append(math.degrees(math.atan2(y_mm, x_mm)))
    return any(abs((a - b + 180) % 360 - 180) >= WALKED_DEG for a, b in combinations(bearings, 2))


_State = tuple[tuple[int, ...], float]
"""Turn steps of the photos joined so far, and their log-odds together."""


def _joined(n_photos: int, pairs: dict[tuple[int, int], PairEvidence], prior: FloatArray) -> list[_State]:
    """Joint choices of turns, the likeliest first.

    Pairs of n photos hold n - 1 turns only, so each pair counts 2 / n.
    """
    weight = 2 / n_photos
    states: list[_State] = [((0,), 0.0)]
    for new in range(1, n_photos):
        grown: dict[tuple[int, ...], float] = {}
        for steps, score in states:
            at_turn = [np.roll(pairs[old, new].total, steps[old]) for old in range(new)]
            first = np.max([np.roll(prior, step) for step in steps], axis=0)
            gain = weight * np.sum(at_turn, axis=0) + first
            for step in _tops(gain):
                grown[(*steps, step)] = score + float(gain[step])
        states = sorted(grown.items(), key=lambda one: (-one[1], one[0]))[:TURN_STATES]
    return states


def _tops(gain: FloatArray) -> list[int]:
    """Steps of the highest peaks, each higher than its neighbours on the circle."""
    around = np.max([np.roll(gain, k) for k in (-2, -1, 1, 2)], axis=0)
    peaks = np.flatnonzero(gain >= around)
    chosen: list[int] = []
    for step in sorted(peaks.tolist(), key=lambda k: (-gain[k], k)):
        if all(_apart(step, other) > 2 for other in chosen):
            chosen.append(step)
        if len(chosen) == TURN_CHOICES:
            break
    return chosen


def _apart(first: int, second: int) -> int:
    """Steps between two turns on the circle."""
    return abs((first - second + TURN_STEPS // 2) % TURN_STEPS - TURN_STEPS // 2)


def _photo_turn(
    i: int, best: tuple[int, ...], states: Sequence[_State], pairs: dict[tuple[int, int], PairEvidence]
) -> PhotoTurn:
    """Turn of one photo: its step, made finer between steps, and how probable it is among the joint choices."""
    scores = np.array([score for _, score in states])
    odds = np.exp(scores - scores.max())
    agree = np.array([_apart(steps[i], best[i]) <= TURN_SAME_STEPS for steps, _ in states])
    profile = np.sum([np.roll(pairs[j, i].total, best[j]) for j in range(len(best)) if j != i], axis=0)
    step = best[i] + _between(profile, best[i])
    turn = (step * STEP_RAD + math.pi) % (2 * math.pi) - math.pi
    basis = _basis(i, best, pairs)
    u_turn = math.radians(U_TURN_DESIGN_DEG)
    return PhotoTurn(turn, u_turn, float(odds[agree].sum() / odds.sum()), basis)


def _between(profile: FloatArray, step: int) -> float:
    """Place of a peak between steps, -0.5 to 0.5, by the parabola through it and its neighbours."""
    left, middle, right = (float(profile[(step + k) % TURN_STEPS]) for k in (-1, 0, 1))
    bend = left - 2 * middle + right
    return 0.0 if bend >= -1e-9 else float(np.clip(0.5 * (left - right) / bend, -0.5, 0.5))


def _basis(i: int, best: tuple[int, ...], pairs: dict[tuple[int, int], PairEvidence]) -> str:
    """What sets the chosen turn apart from the mean of all turns."""
    by_design = by_marks = 0.0
    for j in range(len(best)):
        if j != i:
            at = (best[i] - best[j]) % TURN_STEPS
            by_design += float(pairs[j, i].design[at] - pairs[j, i].design.mean())
            by_marks += float(pairs[j, i].marks[at] - pairs[j, i].marks.mean())
    told = [words for words, gain in ((BY_DESIGN, by_design), (BY_MARKS, by_marks)) if gain > 2.0]
    return " and ".join(told) or BY_HABIT
