"""Places on the dome, to pixels and back, and when the piece is turned."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.sets.places import apart_rad, clock_of, latitude_deg, pixels_of, places_of, turned
from tests.support.set_scene import ABOVE, SIDE, pixel_of_place, place, surface_of


@pytest.mark.parametrize('eye', [ABOVE, SIDE], ids=['above', 'side'])
def test_pixels_and_back(eye):
    surface = surface_of(eye)
    pixels = np.array([[450.0, 450.0], [520.0, 400.0], [380.0, 470.0]])
    back, facing = pixels_of(surface, places_of(surface, pixels))
    np.testing.assert_allclose(back, pixels, atol=1e-6)
    assert (facing > 0.5).all()


def test_a_place_lies_where_it_is_seen():
    where = place(40.0, 70.0)
    seen = places_of(surface_of(ABOVE), pixel_of_place(ABOVE, where)[None])[0]
    np.testing.assert_allclose(seen, where, atol=1e-9)


def test_the_far_side_and_what_is_under_the_foot_are_not_shown():
    _, facing = pixels_of(surface_of(SIDE), np.array([place(0.0, 180.0), place(-80.0, 0.0), place(0.0, 0.0)]))
    assert facing[0] < 0 and facing[1] <= 0 and facing[2] > 0.9


@given(st.floats(-80, 80), st.floats(-180, 180), st.floats(-3, 3))
def test_turning_keeps_latitude_and_turns_back(up, around, turn):
    where = place(up, around)[None]
    moved = turned(where, turn)
    assert latitude_deg(moved[0]) == pytest.approx(up, abs=1e-9)
    np.testing.assert_allclose(turned(moved, -turn), where, atol=1e-12)


@pytest.mark.parametrize(('azimuth', 'hours'), [(90, 0.0), (0, 3.0), (-90, 6.0), (180, 9.0)])
def test_clock(azimuth, hours):
    assert clock_of(place(30.0, azimuth)) == pytest.approx(hours)


def test_angles_between_places():
    assert apart_rad(place(90, 0)[None], place(60, 20))[0] == pytest.approx(np.radians(30))
