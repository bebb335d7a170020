"""The studio's camera chain: what it must keep and what it must add."""

import io

import numpy as np
import pytest
from PIL import Image

from fixtures.studio import camera, coding


def developed_sd(light: float, noise: float) -> float:
    how = camera.Development(0.6, noise, (1.0, 1.0, 1.0), 95)
    picture = camera.develop(np.full((200, 200, 3), light), how, np.random.default_rng(1)) / 255.0
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    return float(linear.std())


@pytest.mark.parametrize('light', [0.1, 0.4, 0.8])
def test_noise_grows_with_the_root_of_the_light(light):
    # 8-bit rounding adds up to 0.0013 (a third of a level's standard deviation at 0.8 of white).
    assert developed_sd(light, 0.01) == pytest.approx(0.01 * np.sqrt(light), rel=0.04, abs=0.0003)


def test_srgb_code_of_mid_grey():
    # IEC 61966-2-1: linear 0.2140 is code 0.5, linear 0.5 is code 0.7354.
    assert camera.encode_srgb(np.array([0.0, 0.2140, 0.5, 1.0, 3.0])).tolist() == [0, 127, 188, 255, 255]


def test_blur_keeps_the_light_and_spreads_it_by_its_sigma():
    light = np.zeros((41, 41, 3))
    light[20, 20] = 10.0
    how = camera.Development(1.2, 0.0, (1.0, 1.0, 1.0), 95)
    blurred = camera.ndimage.gaussian_filter(light, (how.blur_px, how.blur_px, 0))[..., 0]
    x = np.arange(41) - 20.0
    assert blurred.sum() == pytest.approx(10.0, rel=1e-3)
    assert np.sqrt((blurred.sum(0) * x**2).sum() / blurred.sum()) == pytest.approx(1.2, rel=0.02)


def test_focal_length_stands_in_exif_only_if_given():
    picture = np.full((32, 32, 3), 128, np.uint8)
    told, untold = (
        Image.open(io.BytesIO(camera.jpeg_bytes(picture, 92, f35))).getexif().get_ifd(0x8769) for f35 in (61.4, None)
    )
    assert told[0xA405] == 61
    assert 0xA405 not in untold


def test_light_survives_its_code():
    light = np.linspace(0.02, 1.55, 400)
    again = coding.decode_linear(coding.encode_linear(light))
    # One code step is at most 1 / 255 * 2.2 of the light's own size near the top, more in the dark.
    assert np.abs(again - light).max() < 0.008
