"""What holds for any camera, card, pose and measured value."""

import numpy as np
import uncertainties
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from calib.camera import Camera
from calib.card import load_card
from calib.card_fit import CardFit
from calib.markers import MarkerCorners
from calib.measured import Measured, combine, format_measured
from calib.pose import PARAMETER_NAMES
from tests.support.card_scene import CardScene

FEW = settings(max_examples=60, deadline=None, derandomize=True)
SCENES = st.builds(
    CardScene,
    spec=st.sampled_from([load_card('frame'), load_card('pocket')]),
    focal_px=st.floats(600, 6000),
    k1=st.floats(-0.08, 0.08),
    distance_mm=st.floats(250, 800),
    tilt_deg=st.floats(-60, 60),
    turn_deg=st.floats(-180, 180),
)
POINTS = hnp.arrays(np.float64, (7, 2), elements=st.floats(-60, 60))


def fit_of(scene, covariance=None):
    """The card fit that a perfect measurement would give."""
    n = len(PARAMETER_NAMES)
    empty = MarkerCorners(np.zeros(0, np.int64), np.zeros((0, 4, 2)), np.zeros((0, 4)), scene.size_px)
    covariance = np.zeros((n, n)) if covariance is None else covariance
    return CardFit(
        scene.spec, scene.camera, scene.rotation, scene.translation_mm, covariance, PARAMETER_NAMES, empty, 0, 1, 0, ()
    )


@FEW
@given(SCENES, POINTS, st.floats(-5, 80))
def test_mm_to_px_to_mm_returns(scene, points, height_mm):
    fit = fit_of(scene)
    raised = np.column_stack([points, np.full(len(points), height_mm)])
    np.testing.assert_allclose(fit.to_plane_mm(fit.project_mm(raised), height_mm), points, atol=1e-6)


@FEW
@given(SCENES, POINTS)
def test_turning_the_camera_keeps_lengths(scene, points):
    on_card = np.column_stack([points, np.zeros(len(points))])
    other = scene.but(turn_deg=scene.turn_deg + 77)
    first = fit_of(scene).to_plane_mm(scene.project_mm(on_card))
    second = fit_of(other).to_plane_mm(other.project_mm(on_card))
    np.testing.assert_allclose(first, second, atol=1e-6)


@FEW
@given(SCENES, POINTS)
def test_rays_pass_through_what_they_show(scene, points):
    fit = fit_of(scene)
    on_card = np.column_stack([points, np.full(len(points), 12.0)])
    origin, rays = fit.rays_mm(fit.project_mm(on_card))
    towards = on_card - origin
    np.testing.assert_allclose(np.cross(rays, towards), 0, atol=1e-5)
    assert np.all(np.sum(rays * towards, axis=1) > 0)


@FEW
@given(st.floats(500, 8000), st.floats(-0.1, 0.1), hnp.arrays(np.float64, (5, 2), elements=st.floats(-800, 800)))
def test_a_picture_scaled_by_two_shows_the_same_rays(focal_px, k1, points):
    small = Camera(focal_px, (10.0, -5.0), k1, (100, 100), 0.0, '')
    big = Camera(2 * focal_px, (20.5, -9.5), k1, (200, 200), 0.0, '')
    np.testing.assert_allclose(small.rays(points), big.rays(2 * points + 0.5), atol=1e-9)


@FEW
@given(SCENES, hnp.arrays(np.float64, (14, 14), elements=st.floats(-1, 1)), st.integers(0, 2**32 - 1))
def test_more_doubt_never_draws_a_tighter_cloud(scene, root, seed):
    scale = np.array([1e-3, 1, 1, 1e-4, 1e-4, 1e-4, 1e-4, 0.1, 0.1, 1e-3, 1e-4, 0.1, 0.1, 0.1])
    covariance = (root @ root.T) * np.outer(scale, scale)
    tight, wide = fit_of(scene, covariance), fit_of(scene, 4 * covariance)
    clouds = [
        np.array([draw.translation_mm for draw in fit.sample(np.random.default_rng(seed), 20)]).std(axis=0).sum()
        for fit in (tight, wide)
    ]
    assert clouds[1] >= clouds[0]


VALUES = st.floats(-1e6, 1e6)
PARTS = st.dictionaries(st.sampled_from(['print', 'corners', 'outline', 'height']), st.floats(-1e3, 1e3), max_size=4)
MEASURED = st.builds(lambda value, parts: Measured(value, tuple(parts.items())), VALUES, PARTS)


@FEW
@given(MEASURED, MEASURED, st.floats(-10, 10), st.floats(-10, 10))
def test_combining_agrees_with_the_uncertainties_package(first, second, a, b):
    causes = {name: uncertainties.ufloat(0, 1) for name in ('print', 'corners', 'outline', 'height')}
    x, y = (one.value + sum(part * causes[name] for name, part in one.components) for one in (first, second))
    expected = a * x + b * y
    ours = combine(a * first.value + b * second.value, ((a, first), (b, second)))
    np.testing.assert_allclose(ours.u, getattr(expected, 'std_dev', 0.0), rtol=1e-9, atol=1e-9)


@FEW
@given(MEASURED, st.floats(-100, 100))
def test_scaling_scales_the_doubt(one, factor):
    np.testing.assert_allclose(one.scaled(factor).u, abs(factor) * one.u, rtol=1e-12, atol=1e-12)


@FEW
@given(MEASURED, st.floats(0, 1e3))
def test_one_more_cause_never_narrows(one, u):
    assert one.with_component('another', u).u >= one.u


@FEW
@given(st.floats(-1e5, 1e5), st.floats(1e-6, 1e4))
def test_text_is_true_to_the_last_place_it_shows(value, u):
    text = format_measured(Measured(value, (('all', u),)))
    shown_value, shown_u = (float(part.split()[0]) for part in text.split('±'))
    assert abs(shown_u - 2 * u) <= 0.051 * 2 * u
    assert abs(shown_value - value) <= 0.051 * 2 * u
