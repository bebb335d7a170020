"""The smallest marks: responses against drawn marks, known noise, and what must hold for any photo."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calib.linear_light import decode_srgb
from grader.quality import limits
from grader.quality.limit_constants import DETECTION_SPREADS
from grader.quality.limits import line_response, smallest_marks, spot_response
from tests.support.drawn_marks import disc_light, line_light

EVERYWHERE = np.ones((320, 320), dtype=bool)


def noisy(noise, seed=6, shape=(320, 320)):
    return (0.3 + noise * np.random.default_rng(seed).standard_normal(shape)).astype(np.float32)


@pytest.mark.parametrize('width_px', [0.3, 1.0, 3.0], ids=str)
def test_line_response_is_that_of_the_filter_on_a_drawn_line(width_px):
    picture = line_light((101, 101), (-50.0, 50.0), (150.0, 50.0), width_px, 1.2)
    weights = limits._line_filter(1.2)
    half = len(weights) // 2
    assert weights @ picture[50 - half : 51 + half, 50] == pytest.approx(line_response(width_px, 1.2, 1.2), abs=1e-6)


@pytest.mark.parametrize('diameter_px', [1.5, 4.0, 10.0], ids=str)
def test_spot_response_is_that_of_the_filter_on_a_drawn_disc(diameter_px):
    picture = disc_light((161, 161), (80.0, 80.0), diameter_px, 1.2)
    inner, outer = (cv2.GaussianBlur(picture, (0, 0), s) for s in (2.0, 4.0))
    # Drawn with an eighth of a pixel; the filters are cut off at four spreads.
    assert (inner - outer)[80, 80] == pytest.approx(spot_response(diameter_px, 1.2, 2.0), abs=0.01)


def test_background_of_white_noise_is_what_theory_says():
    noise, line_px = 0.02, 25
    found = limits.line_backgrounds(noisy(noise, shape=(640, 640)), np.ones((640, 640), bool), 1.0, line_px)
    expected = noise * np.sqrt((limits._line_filter(1.0) ** 2).sum() / line_px)
    # Blocks see few independent responses along the line.
    assert np.median(found) == pytest.approx(expected, rel=0.12)


def test_a_line_of_the_limit_stands_out_by_the_stated_multiple():
    noise, blur_px, light = 0.01, 1.0, 0.12
    found = smallest_marks(noisy(noise), EVERYWHERE, blur_px, 9.0, light, light)
    background = np.quantile(limits.line_backgrounds(noisy(noise), EVERYWHERE, blur_px, 27), 0.5)
    assert light * line_response(found.scratch_px, blur_px, blur_px) == pytest.approx(
        DETECTION_SPREADS * background, rel=0.06
    )


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.floats(0.5, 3.0), st.floats(1.05, 2.0), st.floats(0.003, 0.03))
def test_more_blur_never_makes_the_smallest_mark_smaller(blur_px, ratio, noise):
    picture = noisy(noise)
    sharp, soft = (smallest_marks(picture, EVERYWHERE, b, 9.0, 0.12, 0.18) for b in (blur_px, ratio * blur_px))
    for name in ('scratch_px', 'chip_px'):
        # A step of the sizes tried, since a wider filter sees other noise.
        assert getattr(soft, name) >= getattr(sharp, name) / 1.06, name


@settings(max_examples=25, deadline=None, derandomize=True)
@given(st.floats(0.003, 0.03), st.floats(1.0, 3.0))
def test_more_noise_never_makes_the_smallest_mark_smaller(noise, ratio):
    quiet, loud = (smallest_marks(noisy(n), EVERYWHERE, 1.0, 9.0, 0.12, 0.18) for n in (noise, ratio * noise))
    for name in ('scratch_px', 'plain_scratch_px', 'chip_px', 'plain_chip_px'):
        assert getattr(loud, name) >= getattr(quiet, name), name


def test_a_busy_piece_shows_marks_only_on_its_plain_parts():
    picture = noisy(0.004)
    picture[:, 96:] += 0.4 * (np.random.default_rng(7).random((320, 224)) > 0.5)
    found = smallest_marks(picture, EVERYWHERE, 0.9, 9.0, 0.05, 0.05)
    assert np.isinf(found.scratch_px)
    assert found.plain_scratch_px < 2.0


def test_a_mark_must_change_the_code_by_more_than_jpeg_keeps():
    from_code = [decode_srgb(np.array(code / 255)) for code in (125, 131)]
    step = limits.code_step(float(decode_srgb(np.array(128 / 255))))
    assert step == pytest.approx(float(from_code[1] - from_code[0]), rel=1e-6)
    quiet = np.full((320, 320), 0.3, np.float32) + 1e-6 * noisy(1.0)
    found = smallest_marks(quiet, EVERYWHERE, 1.0, 9.0, 0.12, 0.18, step)
    assert 0.12 * limits.line_peak(found.plain_scratch_px, 1.0) == pytest.approx(step, rel=0.06)
    assert 0.18 * limits.spot_peak(found.plain_chip_px, 1.0) == pytest.approx(step, rel=0.12)


def test_a_white_part_hides_white_marks():
    picture = noisy(0.004)
    picture[:, 64:] += 0.63
    found = smallest_marks(picture, EVERYWHERE, 0.9, 9.0, 0.12, 0.18)
    dark = smallest_marks(noisy(0.004), EVERYWHERE, 0.9, 9.0, 0.12, 0.18)
    assert found.scratch_px > 2 * dark.scratch_px
    # The plainest tenth is half of the dark fifth.
    assert found.plain_scratch_px == pytest.approx(dark.scratch_px, rel=0.15)


def test_nothing_to_judge_is_told_apart():
    assert smallest_marks(noisy(0.01), ~EVERYWHERE, 1.0, 9.0, 0.1, 0.1) is None
