"""Focus from the card and from the picture's own edges, on photos whose blur is known."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.linear_light import linear_grey
from grader.outline.dome_view import NoCard
from grader.quality.focus import blur_axes, measure_focus
from tests.support.card_scene import CardScene, photograph

SCENE = CardScene(load_card('frame'), size_px=(1300, 1300), focal_px=2400.0, tilt_deg=2.0, turn_deg=4.0, noise=0.005)
SQUARE_PX = 12**-0.5  # a pixel's own square, as a standard deviation


def outline(centre=(650.0, 650.0), radius_px=200.0):
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    return np.array(centre) + radius_px * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize('blur_px', [0.6, 1.0, 2.0, 3.5], ids=str)
def test_the_card_tells_the_blur(blur_px):
    rgb = photograph(SCENE.but(blur_px=blur_px))
    focus = measure_focus(linear_grey(rgb), fit_card(rgb), outline())
    assert focus.source == 'card'
    assert focus.blur_px == pytest.approx(np.hypot(blur_px, SQUARE_PX), rel=0.05)
    assert focus.most_px == pytest.approx(focus.least_px, rel=0.05)


def test_a_moved_camera_is_told_from_one_out_of_focus():
    sharp = linear_grey(photograph(SCENE.but(blur_px=0.7)))
    card = fit_card(photograph(SCENE.but(blur_px=0.7)))
    moved = cv2.GaussianBlur(sharp, (0, 0), sigmaX=2.0, sigmaY=0.01)
    focus = measure_focus(moved, card, outline())
    assert focus.most_px == pytest.approx(np.sqrt(0.7**2 + SQUARE_PX**2 + 2.0**2), rel=0.06)
    assert focus.least_px == pytest.approx(np.hypot(0.7, SQUARE_PX), rel=0.06)


def test_without_a_card_the_sharpest_edges_tell_it():
    rng = np.random.default_rng(4)
    light = np.full((900, 900), 0.3, np.float32)
    for _ in range(160):
        x, y, r = rng.integers(60, 840), rng.integers(60, 840), rng.integers(15, 50)
        cv2.circle(light, (int(x), int(y)), int(r), float(rng.uniform(0.1, 0.8)), -1)
    light = cv2.GaussianBlur(light, (0, 0), 1.5) + 0.003 * rng.standard_normal(light.shape).astype(np.float32)
    focus = measure_focus(light.astype(np.float32), NoCard(""), outline((450.0, 450.0), 400.0))
    assert focus.source == 'glass'
    # Round edges, and a low quantile of a scattered lot.
    assert focus.blur_px == pytest.approx(1.5, rel=0.15)


def test_a_picture_without_edges_does_not_tell_it():
    focus = measure_focus(np.full((300, 300), 0.4, np.float32), NoCard(""), outline((150.0, 150.0), 100.0))
    assert (focus.source, focus.blur_px, focus.glass_px) == ('none', None, None)


def test_axes_come_back_from_spreads_in_all_directions():
    turn = np.linspace(0, np.pi, 40, endpoint=False)
    normals = np.column_stack([np.cos(turn), np.sin(turn)])
    matrix = np.array([[4.0, 1.0], [1.0, 2.0]])
    spreads = np.sqrt(np.einsum('ei,ij,ej->e', normals, matrix, normals))
    spreads[3] *= 3  # something lies on this edge
    most, least, n_kept = blur_axes(spreads, normals)
    low, high = np.sqrt(np.linalg.eigvalsh(matrix))
    # The slant's slight pull to none.
    assert (most, least) == (pytest.approx(high, rel=0.02), pytest.approx(low, rel=0.02))
    assert n_kept == 39
