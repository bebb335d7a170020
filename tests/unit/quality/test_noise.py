"""Noise that was put in comes back."""

import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.linear_light import linear_grey
from grader.outline.dome_view import NoCard
from grader.quality.noise import measure_noise
from tests.support.card_scene import CardScene, photograph


def test_of_an_even_picture():
    light = 0.3 + 0.01 * np.random.default_rng(2).standard_normal((400, 400))
    noise = measure_noise(light.astype(np.float32), NoCard(""), 0.3)
    assert noise.source == 'smooth parts'
    assert noise.at_piece == pytest.approx(0.01, rel=0.05)


def test_of_a_picture_half_of_which_is_pattern():
    rng = np.random.default_rng(3)
    light = 0.3 + 0.01 * rng.standard_normal((400, 400))
    light[200:] += 0.2 * rng.random((200, 400))
    # The quantile meets the smooth half at a fifth of it instead of a tenth.
    assert measure_noise(light.astype(np.float32), NoCard(""), 0.3).at_piece == pytest.approx(0.01, rel=0.08)


@pytest.mark.parametrize('value', [0.0, 1.0])
def test_black_and_clipped_pictures_do_not_tell_it(value):
    noise = measure_noise(np.full((200, 200), value, np.float32), NoCard(""), value)
    assert (noise.source, noise.at_piece) == ('none', None)


def test_of_the_cards_patches():
    scene = CardScene(load_card('frame'), size_px=(1300, 1300), focal_px=2400.0, noise=0.01, turn_deg=4.0)
    rgb = photograph(scene)
    noise = measure_noise(linear_grey(rgb), fit_card(rgb), 0.4)
    assert noise.source == 'patches'
    # Three channels are averaged with the weights of luminance.
    assert noise.at_piece == pytest.approx(0.01 * np.sqrt(0.2126**2 + 0.7152**2 + 0.0722**2), rel=0.08)
