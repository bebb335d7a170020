"""What a further look at a mark's place is worth."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from grader.sets.looks import look_ratios, seen_ratio

LOG_ODDS = st.floats(-9.2, 9.2)


@given(LOG_ODDS, LOG_ODDS)
def test_surer_networks_speak_more_for_a_mark(first, second):
    low, high = sorted((first, second))
    ratio = seen_ratio(np.array([low, high]))
    assert ratio[0] <= ratio[1] * (1 + 1e-9)


@given(LOG_ODDS)
def test_a_place_that_cannot_be_seen_says_nothing(log_odds):
    if_mark, if_none = look_ratios(np.array([log_odds]), np.zeros(1), np.ones(1))
    assert (if_mark[0], if_none[0]) == (1.0, 1.0)


def test_a_miss_in_the_same_light_weighs_more_than_in_another():
    miss = np.array([-8.0, -8.0])
    if_mark, if_none = look_ratios(miss, np.ones(2), np.array([1.0, 0.0]))
    assert if_mark[0] < if_mark[1] < 0.5
    assert (if_mark < if_none).all()


def test_seen_again_in_another_light_weighs_more_than_in_the_same():
    if_mark, if_none = look_ratios(np.array([6.0, 6.0]), np.ones(2), np.array([1.0, 0.0]))
    gain = if_mark / if_none
    assert 1.0 < gain[0] < gain[1]
