"""Odds of the whole loss against hand-made cases and against plain sampling."""

import math

import numpy as np
import pytest

from grader.grade.loss import KindLoss
from grader.grade.loss_odds import expected_remainder, hidden_kernel, odds_of_marks
from grader.marks.mark import MarkKind

SCORE_STEP = 0.1  # one step of the loss scale near a score of 100


def mark(odds, loss, u_relative=0.0):
    return (KindLoss(MarkKind.CHIP, odds, loss, u_relative),)


def test_no_marks_leave_everything():
    odds = odds_of_marks([])
    assert odds.mean_score == 100.0
    assert odds.worst_mean_score(0.025) == odds.best_mean_score(0.025) == 100.0


def test_one_doubtful_mark_is_there_or_not():
    odds = odds_of_marks([mark(0.4, 0.2)])
    assert odds.mean_score == pytest.approx(60.0 + 40.0 * math.exp(-0.2), abs=1e-9)
    assert odds.best_mean_score(0.025) == pytest.approx(100.0)
    assert odds.worst_mean_score(0.025) == pytest.approx(100.0 * math.exp(-0.2), abs=SCORE_STEP)
    assert odds.probability_below(90.0) == pytest.approx(0.4)


def test_mean_is_the_product_of_what_each_mark_leaves():
    marks = [mark(0.9, 0.1, 0.3), mark(0.3, 0.7, 0.2), (*mark(0.5, 0.2), KindLoss(MarkKind.BUBBLE, 0.2, 0.01, 0.5))]
    expected = 100.0 * math.prod(expected_remainder(one) for one in marks)
    assert odds_of_marks(marks).mean_score == pytest.approx(expected, abs=1e-9)


def test_order_of_marks_does_not_matter():
    marks = [mark(0.9, 0.1, 0.3), mark(0.3, 0.7, 0.2), mark(0.5, 0.2)]
    np.testing.assert_array_equal(odds_of_marks(marks).odds, odds_of_marks(marks[::-1]).odds)


def test_odds_sum_to_1_even_past_the_end_of_the_scale():
    odds = odds_of_marks([mark(1.0, 2.0, 0.2)] * 5)
    assert odds.odds.sum() == pytest.approx(1.0)
    assert odds.mean_score < 1.0


def test_size_doubt_spreads_about_the_best_estimate():
    """Spread of the score is slope times doubt: 100 exp(-l) l u (JCGM 100:2008, 5.1)."""
    loss, u_relative = 0.3, 0.2
    odds = odds_of_marks([mark(1.0, loss, u_relative)])
    scores = 100.0 * np.exp(-0.001 * np.arange(odds.odds.size))
    spread = math.sqrt(odds.odds @ (scores - odds.mean_score) ** 2)
    assert odds.mean_score == pytest.approx(100.0 * math.exp(-loss))
    assert spread == pytest.approx(100.0 * math.exp(-loss) * loss * u_relative, rel=0.01)


def test_agrees_with_sampling():
    """JCGM 101:2008, 7: the same model by random draws; 200,000 of them settle a tail mean to 0.1."""
    marks = [mark(0.95, 0.08, 0.2), mark(0.8, 0.2, 0.1), mark(0.4, 0.3, 0.3), mark(0.6, 0.03, 0.3)]
    rng = np.random.default_rng(7)
    n, scores = 200_000, 100.0
    nodes = np.array([-1.5932, -0.9674, -0.5895, -0.2822, 0.0, 0.2822, 0.5895, 0.9674, 1.5932])
    nodes /= nodes.std()
    for ((_, odds, loss, u_relative),) in [[(m.kind, m.odds, m.loss, m.u_relative) for m in one] for one in marks]:
        left = np.exp(-loss) * (1.0 - loss * u_relative * rng.choice(nodes, n))
        scores = scores * np.where(rng.random(n) < odds, left, 1.0)
    scores.sort()
    result = odds_of_marks(marks)
    assert result.mean_score == pytest.approx(scores.mean(), abs=0.1)
    assert result.worst_mean_score(0.025) == pytest.approx(scores[: n // 40].mean(), abs=0.2)
    assert result.best_mean_score(0.025) == pytest.approx(scores[-n // 40 :].mean(), abs=0.2)
    assert result.probability_below(70.0) == pytest.approx((scores < 70.0).mean(), abs=0.01)


@pytest.mark.parametrize('mean_loss', [0.005, 0.05, 0.4])
def test_hidden_loss_has_its_mean(mean_loss):
    kernel = hidden_kernel(mean_loss)
    assert kernel.sum() == pytest.approx(1.0)
    assert 0.001 * np.arange(kernel.size) @ kernel == pytest.approx(mean_loss, rel=0.01)


def test_nothing_hidden_changes_nothing():
    odds = odds_of_marks([mark(0.4, 0.2)])
    np.testing.assert_array_equal(odds.plus(hidden_kernel(0.0)).odds, odds.odds)
