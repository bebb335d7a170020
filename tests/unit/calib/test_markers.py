"""Markers of a photo."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from calib.linear_light import linear_grey
from calib.markers import find_markers
from tests.support.card_scene import CardScene, photograph

SCENE = CardScene(load_card('frame'), tilt_deg=6, turn_deg=12, noise=0.005, distance_mm=440)


@pytest.fixture(scope='module')
def photo():
    return photograph(SCENE)


def test_all_markers_to_a_few_hundredths_of_a_pixel(photo):
    found = find_markers(photo)
    assert list(found.ids) == list(range(24))
    printed = np.stack([SCENE.spec.marker_corners_mm(int(one)) for one in found.ids])
    true = SCENE.project_mm(printed.reshape(-1, 3)).reshape(-1, 4, 2)
    off = found.corners_px - true
    assert np.sqrt(np.mean(off**2)) < 0.06
    assert np.abs(off).max() < 0.3


def test_centres_are_images_of_the_printed_centres(photo):
    found = find_markers(photo)
    printed = np.stack([SCENE.spec.marker_centre_mm(int(one)) for one in found.ids])
    assert np.abs(found.centres_px - SCENE.project_mm(printed)).max() < 0.12


def test_linear_light_serves_as_well(photo):
    np.testing.assert_array_equal(find_markers(photo).corners_px, find_markers(linear_grey(photo)).corners_px)


def test_a_big_photo_is_read_on_a_smaller_copy(photo):
    big = cv2.resize(photo, None, fx=4, fy=4, interpolation=cv2.INTER_CUBIC)
    found, small = find_markers(big), find_markers(photo)
    assert list(found.ids) == list(range(24))
    np.testing.assert_allclose((found.corners_px + 0.5) / 4 - 0.5, small.corners_px, atol=0.25)


def test_nothing_in_an_empty_photo():
    found = find_markers(np.full((300, 400, 3), 200, dtype=np.uint8))
    assert len(found) == 0
    assert found.corners_px.shape == (0, 4, 2)
    assert found.size_px == (400, 300)


def test_another_dictionary_is_not_read(photo):
    assert len(find_markers(photo, 'DICT_6X6_50')) == 0


def test_an_id_seen_twice_is_given_twice(photo):
    double = np.hstack([photo, photo])
    found = find_markers(double)
    assert list(found.ids) == sorted([*range(24), *range(24)])
