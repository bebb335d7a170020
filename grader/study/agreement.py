"""Limits of agreement of two set-ups, after Bland and Altman.

Source: Bland and Altman, Lancet 327 (1986) 307-310, and Statistical Methods in Medical Research 8 (1999) 135-160, from
memory: there also the intervals, and several values of a piece by each set-up.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.study.constants import NORMAL_95
from grader.study.intervals import Interval, student_factor


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far two set-ups differ on the same piece, the first less the second."""

    n_pieces: int
    sd: float
    """Standard deviation of the difference of two single photos of a piece, one by each set-up."""
    bias: Interval
    lower_limit: Interval
    """95 of 100 differences lie between this and `upper_limit`."""
    upper_limit: Interval


def limits_of_agreement(
    first: Sequence[Sequence[float]], second: Sequence[Sequence[float]]
) -> tuple[Agreement, tuple[tuple[float, float], ...]] | None:
    """Agreement of two set-ups, and for each piece the mean of both and their difference.

    Parameters
    ----------
    first, second
        Values of each piece by each set-up, in the same order of pieces; one or more a piece.

    Returns
    -------
    tuple or None
        None for fewer than two pieces.
    """
    if len(first) < 2:
        return None
    a, b = (np.array([np.mean(values) for values in side]) for side in (first, second))
    differences = a - b
    variance = float(np.var(differences, ddof=1)) + _lost_by_means(first) + _lost_by_means(second)
    agreement = agreement_from(float(differences.mean()), math.sqrt(variance), len(differences))
    points = tuple((float(mean), float(difference)) for mean, difference in zip((a + b) / 2, differences, strict=True))
    return agreement, points


def agreement_from(bias: float, sd: float, n_pieces: int) -> Agreement:
    """Agreement from mean and standard deviation of the differences of so many pieces."""
    factor = student_factor(n_pieces - 1)
    u_bias = sd / math.sqrt(n_pieces)
    u_limit = sd * math.sqrt(1 / n_pieces + NORMAL_95**2 / (2 * (n_pieces - 1)))
    lower, upper = bias - NORMAL_95 * sd, bias + NORMAL_95 * sd
    return Agreement(
        n_pieces,
        sd,
        Interval(bias, bias - factor * u_bias, bias + factor * u_bias),
        Interval(lower, lower - factor * u_limit, lower + factor * u_limit),
        Interval(upper, upper - factor * u_limit, upper + factor * u_limit),
    )


def _lost_by_means(side: Sequence[Sequence[float]]) -> float:
    """Variance of single values that their means no longer show: (1 - 1/m) times that within pieces."""
    dof = sum(len(values) - 1 for values in side)
    if dof == 0:
        return 0.0
    within = sum(float(np.var(values)) * len(values) for values in side) / dof
    return within * (1 - float(np.mean([1 / len(values) for values in side])))
