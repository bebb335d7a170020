import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.outline.turned_piece import TurnedPiece
from grader.size.profile import measure_profile
from tests.support.side_views import DOME, card_from, side_view

SIDES = (20.0, 150.0)


def heights(shift_deg=0.0, place=(0.0, 0.0), factor=1.0):
    piece = TurnedPiece(*place, *(factor * size for size in (DOME.radius_mm, DOME.ring_mm, DOME.rise_mm, DOME.drop_mm)))
    return measure_profile([side_view(piece, card_from(around + shift_deg, 19.0)) for around in SIDES]).height_mm


@settings(max_examples=3, deadline=None, derandomize=True)
@given(turn_deg=st.floats(0, 360))
def test_turning_the_piece_about_its_axis_does_not_change_its_height(turn_deg):
    assert heights(turn_deg).value == pytest.approx(heights().value, rel=1e-3)


@settings(max_examples=3, deadline=None, derandomize=True)
@given(x=st.floats(-10, 10), y=st.floats(-10, 10))
def test_moving_the_piece_on_the_card_does_not_change_its_height(x, y):
    assert heights(place=(x, y)).value == pytest.approx(heights().value, rel=2e-3)


@settings(max_examples=3, deadline=None, derandomize=True)
@given(factor=st.floats(0.7, 1.4))
def test_a_larger_piece_is_taller_in_proportion(factor):
    assert heights(factor=factor).value == pytest.approx(factor * DOME.height_mm, rel=3e-3)
