"""What holds for any look at a mark's place."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.compare.could_show import chance_to_show, judge_other_look
from grader.compare.place_look import PlaceLook
from grader.compare.registered import Registered
from grader.compare.weigh_change import weigh_change
from grader.marks.mark import MarkKind
from tests.support.marks import make_mark

LIGHTS = ('coaxial', 'low', 'unknown')
CHIP = ((MarkKind.CHIP, 1.0),)

log_odds = st.floats(-9.0, 9.0)
spreads = st.floats(0.01, 5.0)
shares = st.floats(0.0, 1.0)
lights = st.sampled_from(LIGHTS)


def look(log_odds=-6.0, amount=0.1, u_amount=0.1, visible=1.0, same_light=True, clipped=0.0):
    return PlaceLook(
        photo=1, centre_px=(10.0, 10.0), facing=0.8, visible=visible, hidden_by='', log_odds=log_odds,
        same_light=same_light, registered=Registered(amount, u_amount, clipped), scale=1.0, is_placed=True,
    )  # fmt: skip


@given(spreads, spreads, shares, st.booleans(), lights)
def test_busier_background_never_shows_a_mark_better(first, second, visible, same, light):
    plain, busy = (
        chance_to_show(look(u_amount=one, visible=visible, same_light=same), light)
        for one in (min(first, second), max(first, second))
    )
    assert busy <= plain
    assert 0.0 <= busy <= plain <= 1.0


@given(spreads, shares, shares, lights)
def test_hidden_place_never_shows_a_mark_better(spread, first, second, light):
    less, more = (
        chance_to_show(look(u_amount=spread, visible=one), light) for one in (min(first, second), max(first, second))
    )
    assert less <= more


@given(shares, log_odds, log_odds, spreads, lights)
def test_surer_the_other_photo_shows_it_the_less_is_it_new(confidence, first, second, spread, light):
    low, high = (
        weigh_change(confidence, CHIP, [look(log_odds=one, u_amount=spread)], light)
        for one in (min(first, second), max(first, second))
    )
    assert high.only_here <= low.only_here + 1e-9
    assert low.only_here + low.on_both + low.no_mark == pytest.approx(1.0)


@given(shares, lights)
def test_a_photo_that_does_not_show_the_place_says_nothing(confidence, light):
    blind = look(log_odds=5.0, visible=0.0)
    alone, with_it = weigh_change(confidence, CHIP, [], light), weigh_change(confidence, CHIP, [blind], light)
    assert with_it.only_here == pytest.approx(alone.only_here)


@given(log_odds, spreads, shares, st.booleans(), lights)
def test_words_agree_with_the_probability(odds, spread, visible, same, light):
    one = look(log_odds=odds, u_amount=spread, visible=visible, same_light=same)
    told = judge_other_look([one], 1, make_mark(), light, is_seen=False, seen_photo=None)
    if told.verdict == 'would have been seen':
        assert told.probability >= 0.9
        assert told.size_px >= told.smallest_px
    if told.verdict == 'could not be seen':
        assert told.probability <= 0.1
    assert told.photo == (0 if visible > 0 else None)
    assert math.isfinite(told.probability)
