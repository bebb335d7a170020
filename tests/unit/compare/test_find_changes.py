"""Marks of two sides, all places known: what is new, what was missed only, and what could not be seen."""

from dataclasses import replace

import numpy as np
import pytest

from grader.compare.could_show import OTHER_LIGHT, OTHER_VIEW
from grader.compare.find_changes import find_changes
from grader.marks.unseen import GLARE
from tests.support.changed_scene import AFTER, BEFORE, TOP_PLACES, Shot, sides, take
from tests.support.set_scene import SIDE, place

FIRST = TOP_PLACES[:1]


def changes(before, after, **how):
    return find_changes(*sides(before, after, **how))


def test_mark_on_both_sides_is_unchanged():
    (one,) = changes([take('b', BEFORE, FIRST, FIRST)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'unchanged'
    assert one.other_look.verdict == 'was seen'
    assert [(where.side, where.photo) for where in one.seen_in] == [('after', 0), ('before', 0)]
    assert one.confidence >= 0.9


def test_mark_on_clean_glass_is_new():
    (one,) = changes([take('b', BEFORE)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'new'
    assert one.confidence > 0.5
    assert one.other_look.verdict == 'would have been seen'
    assert one.other_look.photo == 0
    assert one.best.side == 'after'
    assert one.other_look.smallest_px < one.other_look.size_px


def test_mark_that_one_list_missed_is_not_new():
    (one,) = changes([take('b', BEFORE, drawn=FIRST)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change != 'new' or one.confidence < 0.5


def test_piece_turned_between_the_sides():
    turned = replace(BEFORE, turn_deg=40.0)
    found = changes(
        [take('b', turned, FIRST, FIRST)], [take('a', AFTER, TOP_PLACES[:2], TOP_PLACES[:2])], turns_deg=(40.0,)
    )
    assert [one.change for one in found] == ['new', 'unchanged']


def test_mark_out_of_the_earlier_view_could_not_be_seen():
    behind = (place(20, 180),)
    (one,) = changes([take('b', Shot(eye=SIDE, seed=2))], [take('a', AFTER, behind, behind)])
    assert one.change == 'not visible then'
    assert one.other_look.verdict == 'could not be seen'
    assert one.other_look.reasons == ("out of view",)
    assert one.other_look.photo is None


def test_mark_under_glare_is_left_open():
    glared = replace(BEFORE, glare_at=FIRST[0])
    (one,) = changes([take('b', glared)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'not visible then'
    assert one.other_look.verdict == 'open'
    assert one.other_look.reasons == (GLARE,)
    assert one.other_look.smallest_px is None


def test_second_earlier_photo_speaks_where_the_first_has_glare():
    glared = replace(BEFORE, glare_at=FIRST[0])
    clear = replace(BEFORE, seed=9)
    (one,) = changes([take('b', glared), take('c', clear)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'new'
    assert one.other_look.photo == 1


def test_any_earlier_photo_that_shows_it_makes_it_unchanged():
    shows = replace(BEFORE, seed=9)
    (one,) = changes([take('b', BEFORE), take('c', shows, FIRST, FIRST)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'unchanged'
    assert one.other_look.photo == 1


def test_faint_mark_in_a_noisy_earlier_photo_is_left_open_or_could_not_be_seen():
    noisy = replace(BEFORE, noise_code=40.0, blur_px=4.0)
    (one,) = changes([take('b', noisy)], [take('a', AFTER, FIRST, FIRST, depth_code=12)])
    assert one.other_look.verdict in ('could not be seen', 'open')
    assert one.change == 'not visible then'


def test_mark_of_the_earlier_side_alone_is_gone():
    (one,) = changes([take('b', BEFORE, FIRST, FIRST, kinds=['dust'])], [take('a', AFTER)])
    assert one.change == 'gone'
    assert one.best.side == 'before'
    assert one.mark.kind == 'dust'


def test_no_bubble_is_new():
    (one,) = changes([take('b', BEFORE)], [take('a', AFTER, FIRST, FIRST, kinds=['bubble'])])
    assert one.change == 'new'
    assert one.mark.kind == 'bruise'
    (chip,) = changes([take('b', BEFORE)], [take('a', AFTER, FIRST, FIRST, kinds=['chip'])])
    assert one.confidence < chip.confidence


@pytest.mark.parametrize('drawn', [True, False], ids=['elsewhere on its ring', 'nowhere'])
def test_turn_not_known(drawn):
    round_axis = (place(70, 200),) if drawn else ()
    before = take('b', BEFORE, round_axis, round_axis)
    found = [one for one in changes([before], [take('a', AFTER, FIRST, FIRST)], sure=False) if one.best.side == 'after']
    (one,) = found
    assert (one.change == 'new' and one.confidence > 0.5) is not drawn
    assert one.other_look.centre_px is None


def test_same_photos_give_the_same_changes():
    first, second = (
        changes([take('b', BEFORE, FIRST, FIRST)], [take('a', AFTER, TOP_PLACES, TOP_PLACES)]) for _ in range(2)
    )
    assert [(one.change, one.confidence, one.other_look.probability) for one in first] == [
        (one.change, one.confidence, one.other_look.probability) for one in second
    ]
    assert np.array_equal(first[0].mark.outline_px, second[0].mark.outline_px)


def test_photo_from_the_side_alone_bears_no_claim():
    in_both = (place(35, 0),)
    (one,) = changes([take('b', Shot(eye=SIDE, seed=2))], [take('a', AFTER, in_both, in_both)])
    assert one.change == 'not visible then'
    assert one.other_look.verdict == 'open'
    assert one.other_look.reasons[0] == OTHER_VIEW


def test_low_light_alone_bears_no_claim():
    low = replace(BEFORE, light='low')
    (one,) = changes([take('b', low)], [take('a', AFTER, FIRST, FIRST)])
    assert one.change == 'not visible then'
    assert one.other_look.verdict == 'open'
    assert one.other_look.reasons[0] == OTHER_LIGHT
    (back,) = changes([take('b', BEFORE)], [take('a', replace(AFTER, light='low'), FIRST, FIRST)])
    assert back.change == 'new'
    assert back.confidence > 0.5
