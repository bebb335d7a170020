"""Conformance probabilities and guard bands, JCGM 106:2012 and ILAC-G8.

CF-1 (oil viscosity), CF-2 (burst strength) and CF-3 (diode, mirrored, and moved by 5) are JCGM 106 examples,
from memory and recomputed; CF-4 is a table of guard bands that quotes ILAC-G8 and ISO 14253-1:2017; CF-5 an example of a
calibration article on ILAC-G8. Values are brought to the score scale by a factor that leaves probabilities alone.
"""

from statistics import NormalDist

import numpy as np
import pytest

from calib.measured import Measured
from grader.grade.band_choice import choose_band
from grader.grade.constants import LOSS_MAX, LOSS_STEP
from grader.grade.loss_odds import LossOdds
from grader.grade.rules import load_rules

RULES = load_rules()


def normal_odds(score, u):
    """Odds of a normally distributed score on the loss scale."""
    loss = LOSS_STEP * np.arange(round(LOSS_MAX / LOSS_STEP) + 1)
    edges = 100.0 * np.exp(-np.concatenate([[-1.0], loss[:-1] + LOSS_STEP / 2, [50.0]]))
    below = np.array([NormalDist(score, u).cdf(edge) for edge in edges])
    return LossOdds(below[:-1] - below[1:])


@pytest.mark.parametrize(
    ('value', 'u', 'low', 'high', 'factor', 'probability'),
    [
        (13.6, 1.8, 12.5, 16.3, 4.0, 0.6626),
        (507.0, 8.0, 490.0, 600.0, 0.1, 0.983),
        (0.47, 0.05, 0.40, 1.0, 90.0, 0.9192),
    ],
    ids=['CF-1', 'CF-2', 'CF-3'],
)
def test_conformance_probability(value, u, low, high, factor, probability):
    odds = normal_odds(factor * value, factor * u)
    inside = odds.probability_below(factor * high) - odds.probability_below(factor * low)
    assert inside == pytest.approx(probability, abs=3e-3)  # half a step of the loss scale, in standard deviations


@pytest.mark.parametrize(('r', 'risk'), [(0.0, 0.5), (0.83, 0.0485), (1.0, 0.02275), (1.5, 0.00135)])
def test_risk_at_a_guard_band(r, risk):
    """CF-4: a value r U inside the limit, U = 2 u, lies beyond it with this risk."""
    limit, u = 80.0, 2.0
    assert normal_odds(limit + 2.0 * r * u, u).probability_below(limit) == pytest.approx(risk, abs=6e-3)


@pytest.mark.parametrize(('deviation_um', 'accepted'), [(1.7, True), (2.5, False)])
def test_cf_5_a_limit_is_surely_kept_one_expanded_uncertainty_away(deviation_um, accepted):
    """Permitted are 3 um, U = 1.0 um (k = 2): accepted up to 2.0 um."""
    room = Measured(3.0 - deviation_um, (('calibration', 0.5),), 'um')
    assert room.is_surely_above(0.0, 2.0) is accepted


@pytest.mark.parametrize(('share', 'borderline'), [(0.9, True), (1.1, False)])
def test_borderline_is_the_guard_band(share, borderline):
    u = 2.0
    width = -NormalDist().inv_cdf(RULES.doubt.risk_limit) * u
    score = RULES.bands[1].from_score + share * width
    odds = normal_odds(score, u)
    choice = choose_band(score, odds, odds, 0.0, RULES)
    assert choice.is_borderline is borderline
    assert choice.index == 1
    assert choice.other_index == (2 if borderline else 1)


def test_guard_band_at_the_better_limit():
    score, u = RULES.bands[0].from_score - 0.5, 1.0
    choice = choose_band(score, normal_odds(score, u), normal_odds(score, u), 0.0, RULES)
    assert (choice.index, choice.other_index) == (1, 0)
