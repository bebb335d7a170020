"""Where a pose puts printed points, and its derivatives."""

import numpy as np
import pytest

from calib.card import load_card
from calib.pose import BEND, LOG_DISTANCE, LOG_FOCAL, PARAMETER_NAMES, Pose, predict, predict_slopes, values_of
from tests.support.card_scene import CardScene

SCENE = CardScene(load_card('frame'), tilt_deg=12, turn_deg=30, k1=-0.05, centre_off_px=(5, -3), aim_mm=(20, -10))
POINTS = np.concatenate([SCENE.spec.marker_corners_mm(one) for one in (0, 7, 15, 20)])


def pose():
    values = values_of(SCENE.focal_px, SCENE.camera.centre_px, SCENE.k1, SCENE.translation_mm)
    return Pose(SCENE.rotation, values)


def test_it_agrees_with_the_camera():
    np.testing.assert_allclose(predict(pose(), POINTS, 95.0), SCENE.project_mm(POINTS), atol=1e-9)
    np.testing.assert_allclose(pose().translation_mm, SCENE.translation_mm)


@pytest.mark.parametrize('index', range(len(PARAMETER_NAMES)), ids=PARAMETER_NAMES)
def test_slopes_are_those_of_small_steps(index):
    start = pose()
    start = Pose(start.rotation, start.values + np.r_[np.zeros(10), 0.001, 0.5, -0.3, 0.2])
    _, slopes = predict_slopes(start, POINTS, 95.0)
    step = np.zeros(len(PARAMETER_NAMES))
    step[index] = 1e-5
    ahead, behind = predict(start.moved(step), POINTS, 95.0), predict(start.moved(-step), POINTS, 95.0)
    np.testing.assert_allclose(slopes[..., index], (ahead - behind) / 2e-5, rtol=1e-5, atol=2e-4)


def test_focal_length_and_distance_together_leave_a_square_on_card_alone():
    level = CardScene(load_card('frame'), k1=-0.05, aim_mm=(30, 10))
    values = values_of(level.focal_px, level.camera.centre_px, level.k1, level.translation_mm)
    step = np.zeros(len(PARAMETER_NAMES))
    step[[LOG_FOCAL, LOG_DISTANCE]] = 0.3
    start = Pose(level.rotation, values)
    np.testing.assert_allclose(predict(start.moved(step), POINTS, 95.0), predict(start, POINTS, 95.0), atol=1e-6)


def test_a_bend_lifts_the_edge_towards_the_camera():
    level = CardScene(load_card('frame'))
    values = values_of(level.focal_px, level.camera.centre_px, 0.0, level.translation_mm)
    values[BEND] = 4.0, 0.0, 0.0
    edge = predict(Pose(level.rotation, values), np.array([[95.0, 0, 0]]), 95.0)
    np.testing.assert_allclose(edge[0, 0] - 399.5, 1400 * 95 / (400 - 4))
