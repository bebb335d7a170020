"""sRGB code and linear light."""

import numpy as np
import pytest

from calib.linear_light import decode_srgb, encode_srgb, linear_grey, linear_rgb


def test_encoding_undoes_decoding():
    codes = np.linspace(0, 1, 1001)
    np.testing.assert_allclose(encode_srgb(decode_srgb(codes)), codes, atol=1e-6)


def test_the_table_equals_the_formula():
    codes = np.arange(256, dtype=np.uint8).reshape(16, 16, 1).repeat(3, axis=2)
    np.testing.assert_allclose(linear_rgb(codes), decode_srgb(codes / 255), atol=1e-7)


def test_grey_weighs_green_most_and_white_is_one():
    colours = np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255], [255, 255, 255]]], dtype=np.uint8)
    np.testing.assert_allclose(linear_grey(colours), [[0.2126, 0.7152, 0.0722, 1.0]], atol=1e-6)


def test_the_photo_is_left_alone():
    rgb = np.full((4, 4, 3), 100, dtype=np.uint8)
    rgb.setflags(write=False)
    linear_grey(rgb)
    assert np.all(rgb == 100)


def test_other_arrays_are_bugs():
    with pytest.raises(ValueError, match=r'rgb must be uint8 of shape \(H, W, 3\)'):
        linear_grey(np.zeros((4, 4), dtype=np.uint8))
