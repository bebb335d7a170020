"""Intervals of standard deviations and means, by the usual distributions.

`scipy.special` and not `scipy.stats`, which would add half a second to the start.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import chdtri, fdtri, stdtrit

from grader.study.constants import COVERAGE, WANTED_RATIO

_MOST_DOF = 100_000


@dataclass(frozen=True, slots=True)
class Interval:
    """A figure with the interval that holds the true one in 95 of 100 studies."""

    value: float
    low: float
    high: float

    def scaled(self, factor: float) -> 'Interval':
        """The same in another unit; `factor` is above 0."""
        return Interval(self.value * factor, self.low * factor, self.high * factor)


def sd_interval(sd: float, dof: float, coverage: float = COVERAGE) -> Interval:
    """Interval of a standard deviation of normal values, by the chi-squared distribution.

    Parameters
    ----------
    sd : float
        At least 0.
    dof : float
        Degrees of freedom on which it rests, above 0; need not be whole.
    coverage : float
        Share of such intervals that hold the true figure.
    """
    tail = (1 - coverage) / 2
    low, high = (math.sqrt(dof / float(chdtri(dof, odds))) for odds in (tail, 1 - tail))
    return Interval(sd, sd * low, sd * high)


def student_factor(dof: float, coverage: float = COVERAGE) -> float:
    """Factor of a standard error for an interval on both sides of a mean."""
    return float(stdtrit(dof, (1 + coverage) / 2))


def fisher_factor(dof_above: float, dof_below: float, coverage: float = COVERAGE) -> float:
    """Quantile of the F distribution that leaves half of the rest above it."""
    return float(fdtri(dof_above, dof_below, (1 + coverage) / 2))


def pooled_sd(sds: Sequence[float], dofs: Sequence[float]) -> tuple[float, float]:
    """Standard deviation that several of the same kind have in common, and its degrees of freedom.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 2.4.4.4.
    """
    dof = sum(dofs)
    return math.sqrt(sum(sd**2 * one for sd, one in zip(sds, dofs, strict=True)) / dof), dof


def dof_wanted(ratio: float = WANTED_RATIO) -> int:
    """Degrees of freedom at which the upper end of a standard deviation's interval is no more than so much above it."""
    low, high = 1, _MOST_DOF
    while low < high:
        middle = (low + high) // 2
        if sd_interval(1.0, middle).high <= 1 + ratio:
            high = middle
        else:
            low = middle + 1
    return low
