import cv2
import numpy as np
import pytest

from grader.outline.fine_contour import contour_normals
from grader.outline.rim_blur import reduction_for, rim_blur


def blurred_disc(blur_px):
    """Light of a pale disc on dark ground, radius 150 px, and its contour."""
    x, y = np.meshgrid(np.arange(400.0), np.arange(400.0))
    disc = np.clip(150.5 - np.hypot(x - 200, y - 200), 0, 1)
    light = np.repeat((0.1 + 0.4 * cv2.GaussianBlur(disc, (0, 0), blur_px))[..., None], 3, axis=2)
    noise = np.random.default_rng(1).normal(0, 0.004, light.shape)
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    return (light + noise).astype(np.float32), 200 + 150 * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize(('blur_px', 'told'), [(0.6, (0.9,)), (3.0, (2.7, 4.0)), (4.6, (4.0, 5.6))])
def test_the_blur_is_told(blur_px, told):
    light, contour = blurred_disc(blur_px)
    assert rim_blur(light, contour, contour_normals(contour, 4)) in told


def test_only_blurred_pictures_are_reduced():
    assert reduction_for(0.9) == reduction_for(1.3) == 1.0
    assert reduction_for(4.0) == pytest.approx(0.2475)
