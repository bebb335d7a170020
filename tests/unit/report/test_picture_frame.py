"""The part of the photo that is shown, and where its pixels lie."""

import numpy as np
import pytest

from grader.report.constants import PAPER
from grader.report.picture_frame import cut_picture, frame_piece


def circle(x, y, radius, n=360):
    turn = 2 * np.pi * np.arange(n) / n
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


@pytest.mark.parametrize(('radius_px', 'shown_px'), [(100.0, 1000.0), (600.0, 1200.0), (2000.0, 1500.0), (20.0, 320.0)])
def test_size_of_the_piece_in_the_picture(radius_px, shown_px):
    frame = frame_piece(circle(2500.0, 2500.0, radius_px), 100.0)
    assert 2 * frame.radius == pytest.approx(shown_px, rel=0.01)
    assert frame.unit == pytest.approx(2 * frame.radius / 1000.0)


def test_a_photo_shown_one_to_one_is_not_touched():
    rng = np.random.default_rng(3)
    rgb = rng.integers(0, 256, (1500, 1600, 3), dtype=np.uint8)
    frame = frame_piece(circle(780.0, 740.0, 550.0), 100.0)
    assert frame.scale == 1.0
    picture = cut_picture(rgb, frame)
    top, left = frame.top_px, frame.left_px
    np.testing.assert_array_equal(picture[300:900, 300:900], rgb[top + 300 : top + 900, left + 300 : left + 900])


@pytest.mark.parametrize('radius_px', [150.0, 600.0, 1800.0])
def test_points_follow_the_pixels(radius_px):
    """A white dot of the photo is found in the picture where the frame says."""
    size = 4600
    rgb = np.zeros((size, size, 3), dtype=np.uint8)
    spot = np.array([2300.0 + 0.3 * radius_px, 2300.0 - 0.2 * radius_px]).round()
    half = max(int(radius_px / 60), 3)
    x, y = spot.astype(int)
    rgb[y - half : y + half + 1, x - half : x + half + 1] = 255
    frame = frame_piece(circle(2300.0, 2300.0, radius_px), 100.0)
    grey = cut_picture(rgb, frame)[..., 0].astype(float)
    rows, columns = np.indices(grey.shape)
    found = np.array([(columns * grey).sum(), (rows * grey).sum()]) / grey.sum()
    np.testing.assert_allclose(found, frame.to_picture(spot[None])[0], atol=0.1)


def test_what_the_photo_does_not_show_is_paper():
    rgb = np.zeros((900, 900, 3), dtype=np.uint8)
    frame = frame_piece(circle(600.0, 450.0, 500.0), 100.0)
    picture = cut_picture(rgb, frame)
    assert tuple(picture[frame.shown_px // 2, -1]) == PAPER
    assert tuple(picture[frame.shown_px // 2, frame.shown_px // 2]) == (0, 0, 0)


def test_directions_and_places_on_the_circle_agree():
    frame = frame_piece(circle(700.0, 700.0, 600.0), 100.0)
    assert frame.direction(frame.on_circle(0.7, 50.0)) == pytest.approx(0.7)
    x, y = frame.on_circle(0.0, 50.0)
    assert x - frame.centre[0] == pytest.approx(1.1 * frame.radius)
    assert y == pytest.approx(frame.centre[1])
