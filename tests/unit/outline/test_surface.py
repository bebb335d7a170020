import numpy as np
import pytest

from calib.card import load_card
from grader.outline.dome_view import DomeOutline, NoCard, NoEllipse
from grader.outline.domes_of_outline import DomesOfOutline
from grader.outline.eye import CardEye, FarEye
from grader.outline.height import SeenHeight, UsualShape
from grader.outline.surface import equator_of, fit_surface, tangent_dome
from tests.support.card_scene import CardScene
from tests.support.dome_scene import DomeScene
from tests.support.known_card import card_fit_of

SCENE = DomeScene(
    CardScene(load_card('frame'), tilt_deg=6, turn_deg=20, k1=-0.03),
    middle_mm=(6.0, -4.0), half_axes_mm=(36.0, 33.0), turn_deg=25.0, ring_mm=24.0, rise_mm=31.0,
)  # fmt: skip
HEIGHT = SeenHeight(24.0, 0.0, 31.0, 'known')


def outline_of(points_px):
    return DomeOutline(points_px, 'free', NoEllipse('made by hand'), 0.2, ())


def known_surface():
    return fit_surface(outline_of(SCENE.outline_px()), card_fit_of(SCENE.card), HEIGHT)


def test_the_dome_behind_a_silhouette_comes_back():
    surface = known_surface()
    np.testing.assert_allclose(surface.centre_mm, SCENE.centre_mm, atol=1e-5)
    np.testing.assert_allclose(surface.shape, SCENE.shape, atol=1e-8)
    np.testing.assert_allclose(surface.apex_mm, [6.0, -4.0, 55.0], atol=1e-5)
    assert surface.mean_radius_mm == pytest.approx(np.sqrt(36 * 33), abs=1e-5)
    assert surface.is_metric


def test_the_ring_of_a_tangent_outline_is_the_domes_own():
    fit = card_fit_of(SCENE.card)
    origin, directions = fit.rays_mm(SCENE.outline_px())
    origins = np.broadcast_to(origin, directions.shape)
    centre, shape, _ = tangent_dome(origins, directions, HEIGHT)
    ring = equator_of(origins, directions, centre, shape)
    np.testing.assert_allclose(np.linalg.norm((ring - centre[:2]) @ shape[:2, :2].T, axis=1), 1, atol=1e-6)


def test_pixels_and_points_of_the_glass_belong_together():
    surface = known_surface()
    rng = np.random.default_rng(2)
    middle = SCENE.card.project_mm(SCENE.centre_mm[None])[0]
    pixels = middle + rng.uniform(-80, 80, (200, 2))
    found = surface.locate(pixels)
    np.testing.assert_allclose(SCENE.card.project_mm(found.points_mm), pixels, atol=1e-6)
    unit = (found.points_mm - SCENE.centre_mm) @ SCENE.shape.T
    np.testing.assert_allclose(np.linalg.norm(unit, axis=1), 1, atol=1e-6)
    # Normals: a step along the surface is square to them.
    beside = surface.locate(pixels + 0.01).points_mm - found.points_mm
    assert np.abs((beside * found.normals).sum(axis=1) / np.linalg.norm(beside, axis=1)).max() < 1e-3
    to_eye = SCENE.card.camera_position_mm - found.points_mm
    to_eye /= np.linalg.norm(to_eye, axis=1, keepdims=True)
    np.testing.assert_allclose(found.facing, (to_eye * found.normals).sum(axis=1), atol=1e-6)
    assert found.inside.all()


def test_facing_falls_to_nothing_at_the_rim():
    surface = known_surface()
    rim = SCENE.outline_px()
    middle = rim.mean(axis=0)
    assert surface.locate(rim).facing.max() < 0.02
    assert surface.locate(middle[None]).facing[0] > 0.99
    assert surface.is_inside(middle + 0.99 * (rim - middle)).all()
    assert not surface.is_inside(middle + 1.01 * (rim - middle)).any()


def test_the_way_to_the_rim_runs_from_none_to_all():
    surface = known_surface()
    apex = SCENE.card.project_mm(np.array([[6.0, -4.0, 55.0]]))
    assert surface.radius_ratio(apex)[0] == pytest.approx(0, abs=1e-6)
    # Rays graze a little above or, with the camera aside, below the widest ring.
    assert surface.radius_ratio(SCENE.outline_px()).min() > 0.97


@pytest.mark.parametrize(('direction', 'hour'), [((0, 1), 0), ((1, 0), 3), ((0, -1), 6), ((-1, 0), 9), ((1, 1), 1.5)])
def test_the_clock_starts_at_the_cards_top_and_goes_right(direction, hour):
    towards = np.array([*direction, 0.0]) / np.linalg.norm(direction)
    at = SCENE.centre_mm + 15 * towards + (0, 0, 28)
    pixel = SCENE.card.project_mm(at[None])
    found = known_surface().locate(pixel).points_mm[0] - SCENE.centre_mm
    expected = np.degrees(np.arctan2(found[0], found[1])) / 30 % 12
    hours = known_surface().clock_h(pixel)[0]
    assert hours == pytest.approx(expected)
    assert min(abs(hours - hour), 12 - abs(hours - hour)) < 0.3


def test_without_a_card_the_largest_width_is_one():
    turn = np.linspace(0, 2 * np.pi, 360, endpoint=False)
    contour = np.array([300.0, 200.0]) + np.column_stack([100 * np.cos(turn), 90 * np.sin(turn)])
    surface = fit_surface(outline_of(contour), NoCard('made by hand'), UsualShape())
    assert not surface.is_metric
    assert 1 / surface.shape[0, 0] == pytest.approx(0.5, abs=1e-3)
    assert 1 / surface.shape[1, 1] == pytest.approx(0.45, abs=1e-3)
    found = surface.locate(np.array([[300.0, 200.0], [300.0, 120.0]]))
    assert found.points_mm[1, 1] - found.points_mm[0, 1] == pytest.approx(0.4, abs=1e-3)
    assert surface.clock_h(np.array([[300.0, 120.0]]))[0] == pytest.approx(0, abs=1e-6)
    assert surface.clock_h(np.array([[380.0, 200.0]]))[0] == pytest.approx(3, abs=1e-6)


def test_both_eyes_tell_how_far_a_step_moves():
    for eye, start in (
        (CardEye(card_fit_of(SCENE.card)), SCENE.centre_mm[None]),
        (FarEye((300.0, 200.0), 200.0), np.zeros((1, 3))),
    ):
        along = np.array([[0.6, 0.8, 0.0]])
        moved = eye.project(start + 0.5 * along) - eye.project(start)
        np.testing.assert_allclose(eye.project_along(start, along), moved / 0.5, rtol=1e-3)


def test_domes_between_the_nodes_agree_with_a_fit():
    fit = card_fit_of(SCENE.card)
    domes = DomesOfOutline(SCENE.outline_px(), fit)
    origin, directions = fit.rays_mm(SCENE.outline_px())
    for ring, rise in ((20.0, 28.0), (24.0, 31.0), (33.0, 44.0)):
        centre, shape, _ = tangent_dome(
            np.broadcast_to(origin, directions.shape), directions, SeenHeight(ring, 0.0, rise, 'known')
        )
        near_centre, near_shape = domes.at(ring, rise)
        # A thousandth of the half-axis would show as 0.03 mm.
        np.testing.assert_allclose(near_centre, centre, atol=0.01)
        np.testing.assert_allclose(near_shape, shape, rtol=3e-4, atol=1e-6)
