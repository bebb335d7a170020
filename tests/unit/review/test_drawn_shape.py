"""Drawings as shapes: crossings, bands, sizes."""

import math

import numpy as np
import pytest

from grader.errors import SettingsInvalid
from grader.review.acts import Drawing
from grader.review.drawn_shape import (
    band_round,
    check_drawing,
    first_crossing,
    loop_area,
    loop_size,
    with_points_between,
)

SQUARE = ((10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0))
BOW_TIE = ((10.0, 10.0), (30.0, 30.0), (30.0, 10.0), (10.0, 30.0))


@pytest.mark.parametrize(
    ('points', 'crossing'),
    [
        (SQUARE, None),
        (BOW_TIE, (0, 2)),
        (((0, 0), (10, 0), (10, 10), (5, 0), (0, 10)), (0, 2)),
        (((0, 0), (10, 0), (0, 0), (0, 10)), (0, 2)),
        (((0, 0), (9, 0), (9, 9), (4, 2), (0, 9)), None),
    ],
    ids=['square', 'bow tie', 'touches', 'point twice', 'hollow'],
)
def test_first_crossing(points, crossing):
    assert first_crossing(np.array(points, dtype=float)) == crossing


@pytest.mark.parametrize(
    ('shape', 'points', 'words'),
    [
        ('outline', BOW_TIE, r"The outline crosses itself: its sides 1 and 3 meet\. Give the points in the order"),
        ('outline', ((10, 10), (130, 10), (30, 30)), r"130,10 lies outside of the photo a\.jpg, which is 100 x 80 px"),
        ('outline', ((10, 10), (11, 10), (10, 11)), "holds less than a pixel"),
        ('line', ((10, 10), (10, 81)), "10,81 lies outside"),
        ('line', ((10, 10), (10, 10)), "The line has no length"),
    ],
    ids=['crossing', 'outside', 'tiny', 'line outside', 'point'],
)
def test_drawings_that_cannot_be(shape, points, words):
    with pytest.raises(SettingsInvalid, match=words):
        check_drawing(Drawing(photo='a.jpg', shape=shape, points_px=points), (100, 80))


def test_pixels_at_the_border_belong_to_the_photo():
    corners = ((-0.5, -0.5), (99.5, -0.5), (99.5, 79.5), (-0.5, 79.5))
    check_drawing(Drawing(photo='a.jpg', shape='outline', points_px=corners), (100, 80))


def test_a_disc_is_as_long_and_wide_as_its_diameter():
    turn = 2 * np.pi * np.arange(400) / 400
    disc = 7.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    size = loop_size(disc, loop_area(disc))
    assert (size.length, size.width, size.diameter) == pytest.approx((14.0, 14.0, 14.0), rel=1e-3)


@pytest.mark.parametrize('bend', [0.0, 1.0, 2.5], ids=['straight', 'bent', 'nearly closed'])
def test_a_band_is_measured_along_itself_however_bent(bend):
    # An arc of length 100 and width 4.
    along = np.linspace(-0.5, 0.5, 200)
    if bend == 0.0:
        line = np.column_stack([100 * along, 0 * along])
    else:
        line = 100 / bend * np.column_stack([np.sin(bend * along), 1 - np.cos(bend * along)])
    band = band_round(line, 4.0)
    size = loop_size(band, loop_area(band))
    assert size.length == pytest.approx(100.0, rel=1e-3)
    assert size.width == pytest.approx(4.0, rel=1e-3)


def test_band_of_a_line_with_a_point_twice():
    band = band_round(np.array([[0.0, 0.0], [0.0, 0.0], [10.0, 0.0]]), 2.0)
    assert loop_area(band) == pytest.approx(20.0)


def test_points_between_keep_the_line():
    points = with_points_between(np.array(SQUARE), 3.0, closed=True)
    assert loop_area(points) == pytest.approx(400.0)
    steps = np.hypot(*(points - np.roll(points, -1, axis=0)).T)
    assert steps.max() <= 3.0
    assert math.isclose(steps.sum(), 80.0)
