"""Photos turned to one clock, and one photo drawn over another through the dome."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.report.clock_frame import ClockFrame, draw_turned, frame_by_clock, window_of
from grader.report.glass_lines import noon_direction
from grader.report.registered import StandingPhoto, carried, draw_over, gain_to, with_gain
from grader.sets.find_turns import PhotoTurn
from tests.support.compared_sides import UNTURNED, place_px, set_photo_of
from tests.support.set_scene import ABOVE, ABOVE_TOO, CENTRE_MM, RADIUS_MM, place, set_photo, turned_z


def turn(degrees):
    return PhotoTurn(math.radians(degrees), 0.0, 1.0, "made by hand")


def test_the_piece_fills_its_width_in_the_middle():
    photo = set_photo_of(0)
    frame = frame_by_clock(photo, UNTURNED, 500.0, 100.0)
    assert frame.side_px == 600
    contour = frame.to_picture(photo.surface.contour_px)
    assert np.hypot(*(contour - frame.centre).T).max() == pytest.approx(250.0, abs=1.0)


@pytest.mark.parametrize('degrees', [0.0, 90.0, -30.0])
def test_noon_of_the_main_photo_is_on_top(degrees):
    photo = set_photo_of(0)
    frame = frame_by_clock(photo, turn(degrees), 500.0, 0.0)
    noon = noon_direction(photo.findings.view)
    # Seen from above the piece was turned against the clock: what was at noon went to the left of it.
    now = noon - math.radians(degrees)
    middle = photo.surface.contour_px.mean(axis=0)
    ends = frame.to_picture(np.array([middle, middle + 100 * np.array([math.cos(now), math.sin(now)])]))
    up = ends[1] - ends[0]
    assert up / np.linalg.norm(up) == pytest.approx([0.0, -1.0], abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(x=st.floats(0, 900), y=st.floats(0, 900), degrees=st.floats(-180, 180))
def test_there_and_back(x, y, degrees):
    frame = frame_by_clock(set_photo_of(0), turn(degrees), 321.0, 50.0)
    points = np.array([[x, y]])
    assert frame.to_photo(frame.to_picture(points)) == pytest.approx(points, abs=1e-6)


@pytest.mark.parametrize('scale', [0.2, 0.5, 1.0, 1.7])
def test_what_is_drawn_lies_where_points_are_said_to_lie(scale):
    rgb = np.zeros((400, 500, 3), dtype=np.uint8)
    rgb[190:211, 290:311] = 255
    angle = 0.7
    linear = scale * np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    frame = ClockFrame(np.column_stack([linear, [200.0, 20.0]]), 900, 100.0)
    drawn = draw_turned(rgb, frame).astype(float)[..., 0]
    # Paper stands where the photo has no more; the square's middle is sought on the photo alone.
    inside = draw_turned(np.full_like(rgb, 0), frame)[..., 0] == 0
    weights = np.where(inside, drawn, 0.0)
    rows, columns = np.mgrid[:900, :900]
    found = np.array([(weights * columns).sum(), (weights * rows).sum()]) / weights.sum()
    assert found == pytest.approx(frame.to_picture(np.array([[300.0, 200.0]]))[0], abs=0.3)


def test_a_window_shows_its_point_in_the_middle_and_keeps_the_turn():
    frame = frame_by_clock(set_photo_of(0), turn(40.0), 500.0, 0.0)
    window = window_of(frame, np.array([600.0, 700.0]), 120.0, 240)
    assert window.scale == pytest.approx(2.0)
    assert window.to_picture(np.array([[600.0, 700.0]]))[0] == pytest.approx([119.5, 119.5])
    assert window.matrix[:, :2] / window.scale == pytest.approx(frame.matrix[:, :2] / frame.scale)


def test_places_are_carried_to_where_the_other_camera_sees_them():
    """Truth from the scene's own camera, the piece turned by 50 degrees in between."""
    here = StandingPhoto(set_photo('a', ABOVE, ()), turn(0.0))
    there = StandingPhoto(set_photo('b', ABOVE_TOO, ()), turn(50.0))
    for latitude, azimuth in ((80, 10), (50, 200), (35, -60)):
        where = place(latitude, azimuth)
        start = ABOVE.project(CENTRE_MM + RADIUS_MM * where)
        wanted = ABOVE_TOO.project(CENTRE_MM + RADIUS_MM * turned_z(where, 50.0))
        found, facing = carried(start, here, there)
        assert found == pytest.approx(wanted, abs=0.01)
        assert facing[0] > 0.3


def test_a_photo_drawn_over_itself_is_itself():
    photo = set_photo_of(0)
    one = StandingPhoto(photo, UNTURNED)
    frame = frame_by_clock(photo, UNTURNED, 400.0, 20.0)
    drawn, shown = draw_over(one, one, frame)
    own = draw_turned(photo.findings.view.photo.rgb, frame)
    # Away from the rim, where the dome turns out of sight.
    rows, columns = np.mgrid[: frame.side_px, : frame.side_px]
    middle = np.hypot(rows - frame.centre[1], columns - frame.centre[0]) < 150
    assert shown[middle].all()
    assert not shown[0, 0]
    apart = np.abs(drawn[middle].astype(int) - own[middle].astype(int)).mean()
    # One is shrunk by area, the other by single pixels of a sharp photo.
    assert apart < 8


def test_a_turn_the_wrong_way_would_show():
    photo = set_photo_of(0)
    one = StandingPhoto(photo, UNTURNED)
    frame = frame_by_clock(photo, UNTURNED, 400.0, 20.0)
    drawn, shown = draw_over(replace(one, turn=turn(20.0)), one, frame)
    own = draw_turned(photo.findings.view.photo.rgb, frame)
    assert np.abs(drawn[shown].astype(int) - own[shown].astype(int)).mean() > 8


def test_light_is_evened_as_a_whole():
    rgb = np.random.default_rng(3).integers(30, 90, (50, 50, 3)).astype(np.uint8)
    darker = with_gain(rgb, 0.5)
    gain = gain_to(darker, rgb, np.ones((50, 50), dtype=bool))
    assert gain == pytest.approx(2.0, rel=0.05)
    assert np.abs(with_gain(darker, gain).astype(int) - rgb).max() <= 3
    assert gain_to(darker, rgb, np.zeros((50, 50), dtype=bool)) == 1.0


def test_square_of_the_helper_lies_where_it_should():
    photo = set_photo_of(1)
    assert photo.surface.is_inside(place_px(photo, 0.2, 0.1)).all()
