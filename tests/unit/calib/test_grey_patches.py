"""Exposure and white balance from the printed greys."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.grey_patches import Greys, NoGreys, read_greys
from calib.linear_light import encode_srgb, linear_rgb
from tests.support.card_scene import CardScene, photograph

SCENE = CardScene(load_card('frame'), distance_mm=440, tilt_deg=4, noise=0.004)
F35_MM = 40.0


def tinted(photo, gains):
    light = linear_rgb(photo) * np.array(gains, dtype=np.float32)
    return np.round(255 * encode_srgb(np.clip(light, 0, 1))).astype(np.uint8)


@pytest.fixture(scope='module')
def photo():
    return photograph(SCENE)


@pytest.fixture(scope='module')
def card(photo):
    return fit_card(photo)


def test_light_of_full_strength_reads_as_one(photo, card):
    greys = read_greys(photo, card)
    assert isinstance(greys, Greys)
    assert len(greys.patches) == 4
    np.testing.assert_allclose(greys.gain_rgb, 1, atol=0.01)
    np.testing.assert_allclose(greys.white_balance, 1, atol=0.01)
    assert greys.u_gain_ratio < 0.01
    assert not greys.clipped


def test_warm_and_dim_light(photo, card):
    greys = read_greys(tinted(photo, (0.8, 0.6, 0.4)), card)
    np.testing.assert_allclose(greys.gain_rgb, (0.8, 0.6, 0.4), rtol=0.02)
    np.testing.assert_allclose(greys.white_balance, (0.75, 1, 1.5), rtol=0.02)


def test_clipped_patches_are_told_and_left_out(photo, card):
    greys = read_greys(tinted(photo, (1.6, 1.6, 1.6)), card)
    assert [one.clipped for one in greys.patches] == [False, False, False, True]
    assert greys.clipped
    np.testing.assert_allclose(greys.gain_rgb, 1.6, rtol=0.02)


def test_all_clipped_says_nothing(photo, card):
    greys = read_greys(np.full_like(photo, 255), card)
    assert greys == NoGreys("all grey patches of the card are over-exposed")


def test_black_says_nothing(photo, card):
    assert read_greys(np.zeros_like(photo), card) == NoGreys("the grey patches of the card are black in the picture")


def test_a_covered_patch_is_outvoted(photo, card):
    covered = photo.copy()
    places = card.project_mm(np.array([[58.0, 70, 0], [70, 70, 0], [70, 58, 0], [58, 58, 0]]))
    cv2.fillPoly(covered, [np.round(places).astype(np.int32)], (200, 30, 30))
    np.testing.assert_allclose(read_greys(covered, card).gain_rgb, 1, atol=0.03)


def test_patches_outside_the_picture_are_not_read(photo, card):
    assert len(read_greys(np.ascontiguousarray(photo[:, :400]), card).patches) == 2
    assert read_greys(np.ascontiguousarray(photo[:60, :60]), card) == NoGreys(
        "no grey patch of the card is in the picture"
    )
