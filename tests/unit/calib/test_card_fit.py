"""From a photo to camera, pose and millimetres."""

import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.errors import ProfileUnfit
from calib.linear_light import linear_grey
from calib.pose import PARAMETER_NAMES
from calib.print_scale import PrintScale
from calib.profile import CameraProfile
from tests.support.card_scene import CardScene, photograph

TOP = CardScene(
    load_card('frame'), distance_mm=440, tilt_deg=4, turn_deg=12, k1=-0.03, centre_off_px=(2, -3), noise=0.005
)
SLANT = TOP.but(tilt_deg=45, distance_mm=520)
POCKET = CardScene(load_card('pocket'), distance_mm=440, tilt_deg=5, noise=0.005)
GRID = np.array([[x, y, 0.0] for x in (-60, 0, 60) for y in (-60, 0, 60)])


def f35(scene):
    return scene.focal_px * np.hypot(36, 24) / np.hypot(*scene.size_px)


def plane_off_mm(fit, scene, points=GRID):
    off = fit.to_plane_mm(scene.project_mm(points), points[0, 2]) - points[:, :2]
    return np.linalg.norm(off, axis=1).max()


@pytest.fixture(scope='module')
def top():
    return photograph(TOP)


@pytest.fixture(scope='module')
def fit(top):
    return fit_card(top, name='top.png', f35_mm=f35(TOP))


@pytest.fixture(scope='module')
def slant():
    return photograph(SLANT)


def test_millimetres_on_the_card_are_true(fit):
    assert fit.spec.name == 'frame'
    assert len(fit.corners) == 24
    assert plane_off_mm(fit, TOP) < 0.02
    assert fit.rms_px < 0.1
    assert fit.flags == ()


def test_camera_and_pose_are_found_within_their_doubt(fit):
    u = np.sqrt(np.diag(fit.covariance))
    assert abs(fit.camera.focal_px / TOP.focal_px - 1) < 3 * u[0]
    assert fit.camera.u_focal_px == pytest.approx(u[0] * fit.camera.focal_px)
    assert fit.camera.focal_source == 'Exif data of the photo'
    draws = np.array([one.camera_position_mm for one in fit.sample(np.random.default_rng(1), 300)])
    off = np.abs(fit.camera_position_mm - TOP.camera_position_mm)
    assert np.all(off < 3 * draws.std(axis=0) + 0.01)


def test_the_seen_points_are_predicted(fit):
    np.testing.assert_allclose(fit.project_mm(GRID), TOP.project_mm(GRID), atol=0.1)
    raised = GRID + np.array([0, 0, 30])
    assert plane_off_mm(fit, TOP, raised) < 0.1


def test_rays_start_at_the_camera_and_meet_the_card(fit):
    origin, rays = fit.rays_mm(fit.project_mm(GRID))
    np.testing.assert_allclose(origin, fit.camera_position_mm)
    np.testing.assert_allclose(np.linalg.norm(rays, axis=1), 1)
    met = origin + (-origin[2] / rays[:, 2:]) * rays
    np.testing.assert_allclose(met, GRID, atol=1e-8)


def test_a_ray_past_the_horizon_meets_no_plane(slant):
    fit = fit_card(slant, f35_mm=f35(SLANT))
    away = fit.rotation @ [0, 1, 0.05]
    seen = fit.camera.project(np.array([away if away[2] > 0 else fit.rotation @ [0, -1, 0.05]]))
    assert np.isnan(fit.to_plane_mm(seen)).all()
    assert np.isfinite(fit.to_plane_mm(fit.project_mm(GRID))).all()


def test_without_exif_the_markers_tell_when_seen_slantwise(slant):
    fit = fit_card(slant)
    assert fit.camera.focal_source == 'markers alone'
    assert abs(fit.camera.focal_px / SLANT.focal_px - 1) < 0.01
    assert fit.camera.u_focal_px / SLANT.focal_px < 0.02
    assert 'focal-length-unsure' not in fit.flags


def test_without_exif_a_square_view_says_that_it_cannot_tell(top):
    fit = fit_card(top)
    assert 'focal-length-unsure' in fit.flags
    assert abs(np.log(fit.camera.focal_px / TOP.focal_px)) < 2 * fit.camera.u_focal_px / fit.camera.focal_px
    assert plane_off_mm(fit, TOP) < 0.05


def test_a_wrong_focal_length_is_not_believed(slant):
    fit = fit_card(slant, f35_mm=2 * f35(SLANT))
    assert 'focal-length-disagrees' in fit.flags
    assert abs(fit.camera.focal_px / SLANT.focal_px - 1) < 0.01


def test_a_profile_narrows_the_focal_length(top):
    profile = CameraProfile(
        width_px=800, height_px=800, focal_px=1400, u_focal_px=2, centre_px=(401.5, 396.5), u_centre_px=0.5,
        k1=-0.03, u_k1=0.001, rms_px=0.1, n_views=8,
    )  # fmt: skip
    fit = fit_card(top, f35_mm=f35(TOP), profile=profile)
    assert fit.camera.focal_source == 'camera profile'
    assert fit.camera.u_focal_px < 2.1
    assert abs(fit.camera_position_mm[2] - TOP.camera_position_mm[2]) < 1.5


def test_a_profile_of_another_shape_is_refused(top):
    profile = CameraProfile(
        width_px=1600, height_px=1200, focal_px=2800, u_focal_px=2, centre_px=(800, 600), u_centre_px=0.5,
        k1=0, u_k1=0.001, rms_px=0.1, n_views=8,
    )  # fmt: skip
    with pytest.raises(ProfileUnfit, match='1600 x 1200 px, and this photo has 800 x 800 px'):
        fit_card(top, profile=profile)


def test_a_shrunken_print_is_corrected_by_its_ruler():
    scene = TOP.but(print_ratio=0.94)
    photo = photograph(scene)
    fit = fit_card(photo, f35_mm=f35(scene), print_scale=PrintScale.measured(94.0))
    assert plane_off_mm(fit, scene) < 0.02
    assert fit.u_print_ratio == pytest.approx(0.202 / 94, rel=0.01)
    assert plane_off_mm(fit_card(photo, f35_mm=f35(scene)), scene) > 3


def test_the_pocket_card_serves_too():
    fit = fit_card(photograph(POCKET), f35_mm=f35(POCKET))
    assert fit.spec.name == 'pocket'
    assert plane_off_mm(fit, POCKET, GRID * [0.5, 0.3, 1]) < 0.05


def test_a_drawn_fit_is_consistent_and_leaves_the_first_alone(fit):
    before = fit.rotation.copy()
    first, second = fit.sample(np.random.default_rng(7), 2), fit.sample(np.random.default_rng(7), 2)
    np.testing.assert_array_equal(first[1].rotation, second[1].rotation)
    np.testing.assert_array_equal(fit.rotation, before)
    np.testing.assert_allclose(first[0].rotation @ first[0].rotation.T, np.eye(3), atol=1e-12)
    assert fit.parameter_names == PARAMETER_NAMES


def test_arrays_are_read_only(fit):
    with pytest.raises(ValueError, match='read-only'):
        fit.rotation[0, 0] = 2


def test_the_same_photo_gives_the_same_fit(top, fit):
    again = fit_card(top, name='top.png', f35_mm=f35(TOP), linear=linear_grey(top))
    np.testing.assert_array_equal(again.covariance, fit.covariance)
    np.testing.assert_array_equal(again.translation_mm, fit.translation_mm)
