import math

import numpy as np
import pytest

from grader.outline.dome_view import EllipseFit, NoEllipse
from grader.outline.fit_ellipse import ellipse_points, fit_ellipse


def points_of(centre, major, minor, angle_deg, n=100, arc=(0.0, 360.0)):
    turn = np.radians(np.linspace(*arc, n, endpoint=False))
    angle = math.radians(angle_deg)
    along, across = major * np.cos(turn), minor * np.sin(turn)
    x = centre[0] + along * math.cos(angle) - across * math.sin(angle)
    return np.column_stack([x, centre[1] + along * math.sin(angle) + across * math.cos(angle)])


@pytest.mark.parametrize('angle_deg', range(181))
def test_each_angle_comes_back(angle_deg):
    fit = fit_ellipse(points_of((10, 20), 25, 15, angle_deg), np.ones(100))
    assert fit.centre_px == pytest.approx((10, 20), abs=1e-6)
    assert (fit.semi_major_px, fit.semi_minor_px) == pytest.approx((25, 15), abs=1e-6)
    off = abs(fit.angle_deg - angle_deg) % 180
    assert min(off, 180 - off) < 1e-5


def test_points_far_from_the_origin_fit_as_well():
    fit = fit_ellipse(points_of((1e5, -2e5), 300, 290, 30), np.ones(100))
    assert fit.centre_px == pytest.approx((1e5, -2e5), abs=1e-5)
    assert (fit.semi_major_px, fit.semi_minor_px) == pytest.approx((300, 290), abs=1e-5)


def test_a_circle_has_equal_axes():
    fit = fit_ellipse(points_of((3, 4), 50, 50, 0), np.ones(100))
    assert fit.semi_major_px == pytest.approx(50) and fit.semi_minor_px == pytest.approx(50)
    assert fit.inlier_ratio == 1.0


def test_a_quarter_of_stray_points_changes_nothing():
    points = points_of((0, 0), 200, 190, 40, n=400)
    points[:100] *= 0.9
    fit = fit_ellipse(points, np.ones(400), floor_px=0.2)
    assert (fit.semi_major_px, fit.semi_minor_px) == pytest.approx((200, 190), abs=0.05)
    assert 0.7 < fit.inlier_ratio < 0.8


def test_points_without_weight_do_not_count():
    points = points_of((0, 0), 200, 190, 40, n=400)
    points[::2] += 30
    weights = np.tile([0.0, 1.0], 200)
    fit = fit_ellipse(points, weights)
    assert fit.semi_major_px == pytest.approx(200, abs=1e-6)


def test_the_covariance_tells_the_scatter_of_repeated_fits():
    rng = np.random.default_rng(1)
    true = points_of((5, 6), 120, 100, 25, n=200)
    fits = [fit_ellipse(true + rng.normal(0, 0.5, true.shape), np.ones(200)) for _ in range(300)]
    values = np.array([[*f.centre_px, f.semi_major_px, f.semi_minor_px, math.radians(f.angle_deg)] for f in fits])
    told = np.sqrt(np.mean([np.diag(f.covariance) for f in fits], axis=0))
    # 300 repeats know a standard deviation to 4 %; the biweight costs 5 % of the points' weight.
    np.testing.assert_allclose(values.std(axis=0), told, rtol=0.15)
    np.testing.assert_allclose(values.mean(axis=0), [5, 6, 120, 100, math.radians(25)], atol=0.05)


@pytest.mark.parametrize(
    ('points', 'reason'),
    [
        (points_of((0, 0), 5, 4, 0, n=4), 'fewer than five'),
        (np.column_stack([np.arange(20.0), 2 * np.arange(20.0)]), 'no ellipse'),
        (np.full((20, 2), 7.0), 'one point'),
        (np.full((20, 2), np.nan), 'fewer than five'),
    ],
    ids=['four points', 'a line', 'one point', 'not a number'],
)
def test_what_is_no_ellipse_is_told_with_a_reason(points, reason):
    fit = fit_ellipse(points, np.ones(len(points)))
    assert isinstance(fit, NoEllipse)
    assert reason in fit.reason


def test_wrong_shapes_are_our_own_fault():
    with pytest.raises(ValueError, match=r'\(N, 2\) with N weights'):
        fit_ellipse(np.zeros((5, 3)), np.ones(5))
    with pytest.raises(ValueError, match=r'\(N, 2\) with N weights'):
        fit_ellipse(np.zeros((5, 2)), np.ones(4))


def test_points_of_an_ellipse_lie_on_it_and_run_from_x_to_y():
    fit = fit_ellipse(points_of((10, 20), 25, 15, 70), np.ones(100))
    assert isinstance(fit, EllipseFit)
    points = ellipse_points(fit, 360)
    again = fit_ellipse(points, np.ones(360))
    assert again.semi_minor_px == pytest.approx(15, abs=1e-6)
    apart = points - (10, 20)
    assert np.all(np.diff(np.unwrap(np.arctan2(apart[:, 1], apart[:, 0]))) > 0)
    assert abs(np.degrees(np.arctan2(apart[0, 1], apart[0, 0]))) < 20
