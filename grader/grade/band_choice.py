"""Which band a score belongs to, and whether it lies too near a limit to be sure."""

from dataclasses import dataclass

from grader.grade.loss_odds import LossOdds
from grader.grade.rules import GradeRules


@dataclass(frozen=True, slots=True)
class BandChoice:
    """A band, and the neighbour that it might be instead."""

    index: int
    """Place of the band among the rules' bands, best first."""
    other_index: int
    """Place of the likelier neighbour; the same as `index` when the grade is not borderline."""
    is_withheld: bool
    """Whether the best band was reached but withheld because too little could be seen."""

    @property
    def is_borderline(self) -> bool:
        """Whether the neighbour cannot be ruled out."""
        return self.index != self.other_index


def choose_band(score: float, seen: LossOdds, all_odds: LossOdds, unseen_ratio: float, rules: GradeRules) -> BandChoice:
    """Return the band of a score with guarded limits.

    A grade is borderline when the odds of lying beyond a limit of its band exceed the rules' risk limit: the guard
    band of JCGM 106:2012, 8.3, told as a probability, so that it holds for lopsided odds too. For normal odds and a
    risk limit of 5 % it is the guard band of 0.82 U. The worse side counts what the unseen part may hide (`all_odds`),
    the better side only what was seen.
    """
    index = rules.band_index(score)
    if index == 0 and unseen_ratio >= rules.doubt.most_unseen_for_clean_ratio:
        return BandChoice(1, 0, is_withheld=True)
    best, worst = 0, len(rules.bands) - 1
    risk_worse = all_odds.probability_below(rules.bands[index].from_score) if index < worst else 0.0
    risk_better = 1.0 - seen.probability_below(rules.bands[index - 1].from_score) if index > best else 0.0
    if max(risk_worse, risk_better) <= rules.doubt.risk_limit:
        return BandChoice(index, index, is_withheld=False)
    return BandChoice(index, index + 1 if risk_worse >= risk_better else index - 1, is_withheld=False)
