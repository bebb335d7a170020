"""Odds of a piece's whole loss, built up mark by mark on a fixed scale, without random draws.

This is the propagation of distributions of JCGM 101:2008 done by convolution instead of by sampling: each mark is
there or not, of one kind or another, and of an uncertain size, independently of the others. The result is the same
on every run and for every order of the marks.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from calib.arrays import FloatArray
from grader.grade.constants import LOSS_MAX, LOSS_STEP, SIZE_NODES
from grader.grade.loss import KindLoss

_N_STEPS = round(LOSS_MAX / LOSS_STEP)
_SCALE = LOSS_STEP * np.arange(_N_STEPS + 1)
_REMAINS = np.exp(-_SCALE)


@dataclass(frozen=True, slots=True, eq=False)
class LossOdds:
    """Probability of each loss on a scale from 0 in steps of ``LOSS_STEP``."""

    odds: FloatArray
    """Shape (N,), summing to 1; the last entry holds all larger losses too. Read-only."""

    def __post_init__(self) -> None:
        self.odds.setflags(write=False)

    @property
    def mean_score(self) -> float:
        """Expected score, 0 to 100."""
        return float(100.0 * self.odds @ _REMAINS)

    def worst_mean_score(self, tail_ratio: float) -> float:
        """Return the mean score of the worst `tail_ratio` of the outcomes; no better than that quantile."""
        return _tail_mean(self.odds[::-1], 100.0 * _REMAINS[::-1], tail_ratio)

    def best_mean_score(self, tail_ratio: float) -> float:
        """Return the mean score of the best `tail_ratio` of the outcomes; no worse than that quantile."""
        return _tail_mean(self.odds, 100.0 * _REMAINS, tail_ratio)

    def probability_below(self, score: float) -> float:
        """Return the probability that the score lies under a limit."""
        return float(self.odds[score > 100.0 * _REMAINS].sum())

    def plus(self, kernel: FloatArray) -> 'LossOdds':
        """Return the odds after adding an independent loss, given by its own odds from 0 upwards, shape (M,)."""
        full = np.convolve(self.odds, kernel)
        odds = full[: _N_STEPS + 1].copy()
        odds[-1] += full[_N_STEPS + 1 :].sum()
        return LossOdds(odds)


def odds_of_marks(marks: Sequence[tuple[KindLoss, ...]]) -> LossOdds:
    """Return the odds of the loss of all marks together."""
    total = LossOdds(np.concatenate([[1.0], np.zeros(_N_STEPS)]))
    for losses in sorted(marks, key=expected_remainder):
        total = total.plus(_mark_kernel(losses))
    return total


def expected_remainder(losses: tuple[KindLoss, ...]) -> float:
    """Return the mean of exp(-loss) of one mark: the share of the score that it is expected to leave, 0 to 1."""
    return 1.0 - sum(loss.odds * -math.expm1(-loss.loss) for loss in losses)


def hidden_kernel(mean_loss: float) -> FloatArray:
    """Odds, shape (M,), of a loss that nothing is known of but its mean: the exponential distribution."""
    if mean_loss <= 0.0:
        return np.ones(1)
    beyond = np.exp(-(_SCALE[1:] - LOSS_STEP / 2.0) / mean_loss)
    odds = -np.diff(np.concatenate([[1.0], beyond, [0.0]]))
    return _trimmed(odds)


def _mark_kernel(losses: tuple[KindLoss, ...]) -> FloatArray:
    """Odds, shape (M,), of the loss of one mark that may be absent, of several kinds, and of uncertain size."""
    kernel = np.zeros(_N_STEPS + 1)
    kernel[0] = 1.0 - sum(loss.odds for loss in losses)
    for loss in losses:
        for remainder in _remainders(loss):
            _add_at(kernel, remainder, loss.odds / SIZE_NODES)
    return _trimmed(kernel)


def _remainders(loss: KindLoss) -> FloatArray:
    """Shares of the score, shape (SIZE_NODES,), that a mark may leave; equally likely.

    They lie about the best estimate evenly to both sides, so doubt about a size moves no score, and growing doubt
    only spreads them. The slope of exp(-loss) turns the doubt of the loss into that of the share (JCGM 100:2008, 5.1).
    """
    best = math.exp(-loss.loss)
    nodes = _nodes()
    u = best * loss.loss * loss.u_relative
    room = min(best, 1.0 - best) / float(nodes[-1])
    return np.asarray(best + min(u, room) * nodes)


def _nodes() -> FloatArray:
    """Middles of equally likely parts of a normal distribution, scaled to variance 1, ascending."""
    places = (np.arange(SIZE_NODES) + 0.5) / SIZE_NODES
    nodes = np.array([NormalDist().inv_cdf(place) for place in places])
    return np.asarray(nodes / nodes.std())


def _add_at(kernel: FloatArray, remainder: float, odds: float) -> None:
    """Share `odds` between the two steps beside a loss so that the mean of exp(-loss) stays exact; fills `kernel`."""
    loss = min(-math.log(max(remainder, _REMAINS[-1])), LOSS_MAX)
    low = min(int(loss / LOSS_STEP), _N_STEPS - 1)
    share = (math.exp(-loss) - _REMAINS[low + 1]) / (_REMAINS[low] - _REMAINS[low + 1])
    kernel[low] += odds * share
    kernel[low + 1] += odds * (1.0 - share)


def _trimmed(kernel: FloatArray) -> FloatArray:
    filled = np.flatnonzero(kernel > 0.0)
    return kernel[: filled[-1] + 1]


def _tail_mean(odds: FloatArray, scores: FloatArray, tail_ratio: float) -> float:
    """Mean of the first `tail_ratio` of the odds, in the order given."""
    before = np.cumsum(odds) - odds
    taken = np.clip(tail_ratio - before, 0.0, odds)
    return float(taken @ scores / taken.sum())
