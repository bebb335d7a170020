"""Sums of independent quantities whose distributions are added as a whole, as losses of the score are.

Source: JCGM 101:2008, 9.2.2 to 9.2.4 (from memory, recomputed by simulation). There by a million draws, here by
convolution on the scale of losses; so many of its steps stand for a unit.
"""

import math
from functools import reduce
from statistics import NormalDist

import numpy as np
import pytest

from grader.grade.loss_odds import LossOdds


def rectangular(u, steps):
    """Odds from 0 on of a rectangular distribution with a standard uncertainty."""
    width = round(2 * math.sqrt(3) * u * steps)
    return np.full(width + 1, 1 / (width + 1))


def normal(u, steps):
    """The same of a normal distribution, four and a half standard uncertainties to each side."""
    places = np.arange(-round(4.5 * u * steps), round(4.5 * u * steps) + 1)
    edges = np.concatenate([[-np.inf], (places[:-1] + 0.5) / (u * steps), [np.inf]])
    return np.diff([NormalDist().cdf(edge) for edge in edges])


@pytest.mark.parametrize(
    ('kernel', 'us', 'steps', 'u', 'half_width_95'),
    [
        (normal, (1, 1, 1, 1), 130, 2.00, 3.92),
        (rectangular, (1, 1, 1, 1), 300, 2.00, 3.88),
        (rectangular, (1, 1, 1, 10), 100, 10.15, 17.0),
    ],
    ids=['MC-1a', 'MC-1b', 'MC-1c'],
)
def test_mc_1_four_quantities(kernel, us, steps, u, half_width_95):
    kernels = [kernel(one, steps) for one in us]
    total = reduce(LossOdds.plus, kernels[1:], LossOdds(kernels[0])).odds
    places = np.arange(len(total)) / steps
    mean = total @ places
    assert math.sqrt(total @ (places - mean) ** 2) == pytest.approx(u, rel=0.005)
    below = np.cumsum(total)
    low, high = (places[np.searchsorted(below, share)] - mean for share in (0.025, 0.975))
    # The ends are printed to three digits.
    assert (-low, high) == pytest.approx((half_width_95, half_width_95), rel=0.005)
