"""From facts about a piece to its grade."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calib.measured import Measured
from grader.grade.band_choice import BandChoice, choose_band
from grader.grade.constants import MAX_UNSEEN_RATIO
from grader.grade.loss import KindLoss, PieceWidth, mark_losses
from grader.grade.loss_odds import LossOdds, expected_remainder, hidden_kernel, odds_of_marks
from grader.grade.reasons import MarkCost, borderline_note, grade_reasons, headline_words
from grader.grade.rules import GradeRules
from grader.marks.mark import Mark


@dataclass(frozen=True, slots=True)
class Grade:
    """Condition of a piece as far as its photos show it."""

    score: float
    """Expected score, 0 (nothing left) to 100 (no mark)."""
    interval: tuple[float, float]
    """Lower and upper end; covers the score that full knowledge would give in at least 95 of 100 cases."""
    band: str
    """The word for the condition."""
    borderline: bool
    """Whether the neighbouring word cannot be ruled out."""
    reasons: tuple[str, ...]
    """Plain sentences, largest costs first."""
    rules_version: str
    """Version of the rules."""
    other_band: str
    """The neighbouring word when borderline, else ''."""
    mark_costs: tuple[float, ...]
    """What each mark takes from the score, in points and in the order of the marks given."""
    headline: str
    """The condition in a few words: the band, or the two between which it lies."""
    note: str
    """Why it is borderline, in a sentence, else ''."""


def grade_piece(
    marks: Sequence[Mark],
    diameter_mm: Measured | None,
    diameter_px: float,
    unseen_ratio: float,
    rules: GradeRules,
    flags: Sequence[str] = (),
) -> Grade:
    """Return the grade of a piece.

    Parameters
    ----------
    marks : sequence of Mark
        All marks, the doubtful ones too: each counts by its probability.
    diameter_mm : Measured or None
        Largest width of the piece, ``None`` without a card.
    diameter_px : float
        Largest width of the piece in the photo, px.
    unseen_ratio : float
        Share of the glass, 0 to 1, that could not be seen.
    rules : GradeRules
        What marks cost.
    flags : sequence of str
        Names of flags raised on the way; some count as a further unseen share.
    """
    if not 0.0 <= unseen_ratio <= 1.0:
        raise ValueError(f'unseen_ratio must lie in [0, 1], got {unseen_ratio}')
    width = PieceWidth(diameter_mm, diameter_px)
    losses = [mark_losses(mark, width, rules) for mark in marks]
    seen = odds_of_marks(losses)
    counted_unseen = _counted_unseen(unseen_ratio, flags, rules)
    score = 100.0 * math.prod(sorted(expected_remainder(one) for one in losses))
    all_odds = seen.plus(hidden_kernel(_hidden_loss(score, counted_unseen, rules)))
    choice = choose_band(score, seen, all_odds, counted_unseen, rules)
    costs = _mark_costs(losses, score)
    mark_costs = [MarkCost(mark, points) for mark, points in zip(marks, costs, strict=True)]
    return Grade(
        score=score,
        interval=_interval(score, seen, all_odds, rules),
        band=rules.bands[choice.index].name,
        borderline=choice.is_borderline,
        reasons=grade_reasons(mark_costs, choice, unseen_ratio, diameter_px, rules),
        rules_version=rules.version,
        other_band=_other_band(choice, rules),
        mark_costs=costs,
        headline=headline_words(choice, rules),
        note=borderline_note(choice, rules),
    )


def _counted_unseen(unseen_ratio: float, flags: Sequence[str], rules: GradeRules) -> float:
    """Unseen share with what the flags and the limits of any photo add."""
    by_flag = sum(rules.doubt.unseen_by_flag.get(flag, 0.0) for flag in set(flags))
    return min(unseen_ratio + rules.doubt.least_unseen_ratio + by_flag, MAX_UNSEEN_RATIO)


def _hidden_loss(score: float, unseen_ratio: float, rules: GradeRules) -> float:
    """Mean loss that the unseen part may hide: a base rate, and as much as the seen part has, area for area."""
    base = -math.log1p(-rules.doubt.hidden_cost_points / 100.0)
    seen_loss = -math.log(max(score, 1.0) / 100.0)
    return unseen_ratio * (base + seen_loss / (1.0 - unseen_ratio))


def _interval(score: float, seen: LossOdds, all_odds: LossOdds, rules: GradeRules) -> tuple[float, float]:
    tail_ratio = rules.doubt.tail_ratio
    low, high = all_odds.worst_mean_score(tail_ratio), seen.best_mean_score(tail_ratio)
    return min(low, score), min(max(high, score), 100.0)


def _mark_costs(losses: Sequence[tuple[KindLoss, ...]], score: float) -> tuple[float, ...]:
    """Part of each mark in what is missing to 100, by its part of the whole loss."""
    parts = [-math.log(max(expected_remainder(one), 1e-12)) for one in losses]
    total = sum(parts)
    return tuple((100.0 - score) * part / total if total > 0.0 else 0.0 for part in parts)


def _other_band(choice: BandChoice, rules: GradeRules) -> str:
    return rules.bands[choice.other_index].name if choice.is_borderline else ""
