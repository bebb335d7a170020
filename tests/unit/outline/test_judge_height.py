import numpy as np
import pytest

from calib.card import load_card
from grader.outline.dome_view import DomeOutline, NoCard, NoEllipse
from grader.outline.height import SeenHeight, TypedHeight, UsualShape
from grader.outline.judge_height import judge_height
from tests.support.card_scene import CardScene
from tests.support.dome_photos import SCENES, photo_of
from tests.support.known_card import card_fit_of


def true_outline(scene):
    return DomeOutline(scene.outline_px(), 'free', NoEllipse('made by hand'), 0.2, ())


def judged(name, before):
    scene = SCENES[name]
    return judge_height(photo_of(name), card_fit_of(scene.card), true_outline(scene), before)


@pytest.mark.parametrize('name', ['round on grey', 'dark on black', 'egg on white'])
def test_the_cards_mirror_image_tells_the_heights(name):
    scene = SCENES[name]
    seen = judged(name, UsualShape())
    assert isinstance(seen, SeenHeight)
    assert "mirror image" in seen.source
    assert seen.u_ring_mm < 0.5 * UsualShape().ring_height(70.0).u_ring_mm
    assert abs(seen.ring_mm - scene.ring_mm) < max(2.5 * seen.u_ring_mm, 0.8)
    assert seen.rise_mm == pytest.approx(scene.rise_mm, abs=1.5)


def test_a_surface_that_mirrors_nothing_changes_nothing():
    assert judged('mirrors nothing', UsualShape()) == UsualShape()


def test_what_is_left_between_facets_does_not_mislead():
    scene = SCENES['six facets']
    told = judged('six facets', UsualShape()).ring_height(scene.half_axes_mm[0] + scene.half_axes_mm[1])
    assert abs(told.ring_mm - scene.ring_mm) < 2.5 * told.u_ring_mm


def test_a_typed_height_is_weighed_in():
    scene = SCENES['dark on black']
    seen = judged('dark on black', TypedHeight(scene.height_mm, 0.3))
    assert seen.ring_mm + seen.rise_mm == pytest.approx(scene.height_mm, abs=0.6)
    assert seen.u_ring_mm <= judged('dark on black', UsualShape()).u_ring_mm * 1.01


def test_without_the_frame_card_or_from_the_side_nothing_is_told():
    scene = SCENES['round on grey']
    rgb, outline = photo_of('round on grey'), true_outline(scene)
    assert judge_height(rgb, NoCard('made by hand'), outline, UsualShape()) == UsualShape()
    pocket = card_fit_of(scene.card.but(spec=load_card('pocket')))
    assert judge_height(rgb, pocket, outline, UsualShape()) == UsualShape()
    side = card_fit_of(CardScene(load_card('frame'), tilt_deg=60.0))
    assert judge_height(rgb, side, outline, UsualShape()) == UsualShape()


def test_the_photo_is_left_as_it_was():
    before = photo_of('round on grey').copy()
    judged('round on grey', UsualShape())
    assert np.array_equal(before, photo_of('round on grey'))
