"""Scale, tilt and kind of view, from cards photographed by a known camera."""

from types import SimpleNamespace

import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from grader.outline.dome_view import NoCard
from grader.quality.placing import judge_placing
from tests.support.card_scene import CardScene, photograph

SCENE = CardScene(load_card('frame'), size_px=(1000, 1000), focal_px=1700.0, noise=0.003)


def view_of(card, size_px=(1000, 1000), middle=(500.0, 500.0), radius_px=150.0):
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    contour_px = np.array(middle) + radius_px * np.column_stack([np.cos(turn), np.sin(turn)])
    return SimpleNamespace(
        card=card, photo=SimpleNamespace(size_px=size_px), outline=SimpleNamespace(contour_px=contour_px)
    )


@pytest.mark.parametrize(('tilt_deg', 'kind'), [(0.0, 'above'), (12.0, 'above'), (33.0, 'slanted'), (50.0, 'side')])
def test_tilt_and_kind_of_view(tilt_deg, kind):
    card = fit_card(photograph(SCENE.but(tilt_deg=tilt_deg)))
    placing = judge_placing(view_of(card), None)
    assert placing.tilt_deg == pytest.approx(tilt_deg, abs=0.3)
    assert placing.view == kind
    # Without knowledge of the lens the scale is sure all the same.
    assert placing.px_per_mm == pytest.approx(SCENE.focal_px / SCENE.distance_mm, rel=0.01)


def test_scale_at_the_height_of_the_ring():
    card = fit_card(photograph(SCENE))
    surface = SimpleNamespace(is_metric=True, centre_mm=np.array([10.0, 0.0, 25.0]))
    away_mm = np.linalg.norm(SCENE.camera_position_mm - surface.centre_mm)
    assert judge_placing(view_of(card), surface).px_per_mm == pytest.approx(SCENE.focal_px / away_mm, rel=0.01)


@pytest.mark.parametrize(('x', 'rim', 'kind'), [(500.0, 1.0, 'unknown'), (0.0, 0.5, 'close-up')], ids=str)
def test_without_a_card(x, rim, kind):
    placing = judge_placing(view_of(NoCard(""), middle=(x, 500.0)), None)
    assert placing.rim_ratio == pytest.approx(rim, abs=0.01)
    assert (placing.view, placing.px_per_mm, placing.tilt_deg, placing.turn_deg) == (kind, None, None, None)
