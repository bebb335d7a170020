"""The pinhole with one radial term."""

import numpy as np
import pytest

from calib.camera import Camera, undistort
from calib.camera_prior import camera_prior, focal_from_f35
from calib.profile import CameraProfile

CAMERA = Camera(3000.0, (899.5, 891.5), -0.04, (1800, 1792), 30.0, 'known')


def test_a_point_ahead_is_seen_at_the_principal_point():
    np.testing.assert_allclose(CAMERA.project(np.array([[0, 0, 400.0]])), [[899.5, 891.5]])


def test_right_is_right_and_down_is_down():
    seen = CAMERA.project(np.array([[1.0, 2.0, 400.0]]))[0] - CAMERA.centre_px
    assert seen[0] == pytest.approx(7.5, rel=1e-4)
    assert seen[1] == pytest.approx(15, rel=1e-4)


def test_a_negative_term_pulls_corners_in():
    point = np.array([[120.0, 120.0, 400.0]])
    plain = Camera(3000.0, (899.5, 891.5), 0.0, (1800, 1792), 30.0, 'known')
    r2 = 2 * 0.3**2
    shift = CAMERA.project(point) - plain.project(point)
    np.testing.assert_allclose(shift, [[-0.04 * r2 * 900] * 2])


@pytest.mark.parametrize('k1', [-0.2, -0.04, 0.0, 0.1])
def test_rays_undo_projection(k1):
    camera = Camera(3000.0, (899.5, 891.5), k1, (1800, 1792), 30.0, 'known')
    rng = np.random.default_rng(5)
    points = np.column_stack([rng.uniform(-140, 140, (50, 2)), rng.uniform(300, 500, 50)])
    rays = camera.rays(camera.project(points))
    np.testing.assert_allclose(rays, points / np.linalg.norm(points, axis=1, keepdims=True), atol=1e-12)


def test_undistorting_keeps_the_middle():
    np.testing.assert_array_equal(undistort(np.zeros((1, 2)), 0.3), np.zeros((1, 2)))


def test_f35_must_be_positive():
    with pytest.raises(ValueError, match='f35_mm must be positive, got 0'):
        focal_from_f35(0, (4032, 3024))


def test_a_profile_outranks_exif_and_exif_outranks_nothing():
    size_px = (800, 600)
    profile = CameraProfile(
        width_px=800, height_px=600, focal_px=900, u_focal_px=3, centre_px=(402, 297), u_centre_px=1,
        k1=-0.02, u_k1=0.001, rms_px=0.1, n_views=6,
    )  # fmt: skip
    known = camera_prior(size_px, 28.0, profile)
    assert (known.focal_px, known.source, known.centre_px) == (900, 'camera profile', (402, 297))
    exif = camera_prior(size_px, 28.0)
    assert exif.focal_px == pytest.approx(28 * 1000 / 43.2666, rel=1e-5)
    assert exif.centre_px == (399.5, 299.5)
    assert 0.01 < exif.u_log_focal < 0.03
    nothing = camera_prior(size_px)
    assert nothing.u_log_focal > 10 * exif.u_log_focal


def test_a_short_focal_length_is_rounded_more_coarsely():
    assert camera_prior((800, 600), 14.0).u_log_focal > camera_prior((800, 600), 70.0).u_log_focal
