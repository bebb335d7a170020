"""What holds for any look at a mark's place."""

import math

from hypothesis import given
from hypothesis import strategies as st

from grader.compare.constants import COULD_NOT_SHOW, WOULD_SHOW
from grader.compare.could_show import chance_to_show, judge_other_look
from grader.compare.place_look import PlaceLook
from grader.compare.registered import Registered
from grader.compare.weigh_change import chance_new
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
        same_light=same_light, same_view=True, registered=Registered(amount, u_amount, clipped), scale=1.0, blur_px=0.7, noise=0.008, is_placed=True,
    )  # fmt: skip


@given(spreads, spreads, shares, st.booleans(), lights)
def test_busier_background_never_shows_a_mark_better(first, second, visible, same, light):
    plain, busy = (
        chance_to_show(look(u_amount=one, visible=visible, same_light=same), make_mark(confidence=0.8), light)
        for one in (min(first, second), max(first, second))
    )
    assert busy <= plain
    assert 0.0 <= busy <= plain <= 1.0


@given(spreads, shares, shares, lights)
def test_hidden_place_never_shows_a_mark_better(spread, first, second, light):
    less, more = (
        chance_to_show(look(u_amount=spread, visible=one), make_mark(confidence=0.8), light)
        for one in (min(first, second), max(first, second))
    )
    assert less <= more


@given(shares, log_odds, log_odds, lights)
def test_surer_the_other_photo_shows_it_the_less_is_it_new(confidence, first, second, light):
    low, high = (
        chance_new(confidence, CHIP, [look(log_odds=one)], light) for one in (min(first, second), max(first, second))
    )
    assert 0.0 <= high <= low <= 1.0


@given(shares, log_odds, log_odds, lights)
def test_a_second_earlier_photo_never_makes_it_newer_than_both_alone(confidence, first, second, light):
    looks = [look(log_odds=one) for one in (first, second)]
    together = chance_new(confidence, CHIP, looks, light)
    assert together <= max(chance_new(confidence, CHIP, [one], light) for one in looks) + 1e-12


@given(shares, lights)
def test_nothing_is_new_where_no_photo_shows_the_place(confidence, light):
    assert chance_new(confidence, CHIP, [look(log_odds=-9.0, visible=0.2)], light) == 0.0


@given(log_odds, spreads, shares, st.booleans(), lights)
def test_words_agree_with_the_probability(odds, spread, visible, same, light):
    one = look(log_odds=odds, u_amount=spread, visible=visible, same_light=same)
    told = judge_other_look([one], 1, make_mark(confidence=0.8), light, seen_photo=None)
    if told.verdict == 'would have been seen':
        assert told.probability >= WOULD_SHOW - 1e-4
        assert told.size_px >= told.smallest_px
    if told.verdict == 'could not be seen':
        assert told.probability <= COULD_NOT_SHOW + 1e-4
    assert told.photo == (0 if visible > 0 else None)
    assert math.isfinite(told.probability)
