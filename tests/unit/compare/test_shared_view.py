"""How much of the dome both sides show."""

from dataclasses import replace

import pytest

from grader.compare.shared_view import measure_shared
from grader.compare.sides import Alignment, Sides
from grader.sets.find_turns import PhotoTurn
from tests.support.set_scene import ABOVE, ABOVE_TOO, OTHER_SIDE, SIDE, set_photo

SURE = PhotoTurn(0.0, 0.0, 1.0, "made by hand")


def shared_of(before, after, turn=SURE):
    sides = Sides((set_photo('a', before, ()),), (set_photo('b', after, ()),))
    return measure_shared(sides, Alignment((turn,), (SURE,)))


def test_one_view_on_both_sides_is_shared_whole():
    shared = shared_of(ABOVE, ABOVE)
    assert shared.both_ratio == shared.before_ratio == shared.after_ratio > 0.2
    assert dict(shared.bands)['crown'] == pytest.approx(1.0)
    assert dict(shared.bands)['below the widest ring'] == 0.0


def test_what_is_shared_is_less_than_either():
    shared = shared_of(ABOVE, SIDE)
    assert 0 < shared.both_ratio < min(shared.before_ratio, shared.after_ratio)


def test_views_from_two_sides_share_little():
    # A quarter turn apart: what both see is the quarter between them.
    assert shared_of(SIDE, OTHER_SIDE).both_ratio < shared_of(SIDE, SIDE).both_ratio / 1.8


def test_a_quarter_turn_of_the_piece_counts():
    # The piece turned by -90 degrees shows the camera at +x what the camera at +y would see of it unturned.
    turned = shared_of(SIDE, SIDE, replace(SURE, turn_rad=1.5707963))
    assert turned.both_ratio < shared_of(SIDE, SIDE).both_ratio / 1.8


def test_a_photo_that_is_not_placed_shares_nothing():
    shared = shared_of(ABOVE, ABOVE_TOO, replace(SURE, probability=0.5))
    assert (shared.both_ratio, shared.before_ratio) == (0.0, 0.0)
    assert shared.after_ratio > 0.2
