"""Corners of dark squares by their edges."""

import cv2
import numpy as np
import pytest

from calib.corners import refine_corners

N = 12  # fine samples a pixel


def square(blur_px, *, light=0.8, dark=0.05, slope=0.0, angle_deg=7.0, white=1.0, side_px=70.0):
    """A turned dark square with 7 px of white margin: picture in linear light, and its true corners (1, 4, 2)."""
    size = 120
    turn = np.deg2rad(angle_deg)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    unit = np.array([[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]])
    corners = side_px * unit @ matrix.T + [60.3, 58.8]
    fine = np.full((size * N, size * N), 0.1, np.float32)
    for points, level in (((side_px + 14) * unit @ matrix.T + [60.3, 58.8], light), (corners, dark)):
        cv2.fillPoly(fine, [np.round((points + 0.5) * N - 0.5).astype(np.int32)], level)
    grey = cv2.GaussianBlur(cv2.resize(fine, (size, size), interpolation=cv2.INTER_AREA), (0, 0), blur_px)
    grey = grey * (1 + slope * (np.arange(size) - size / 2)).astype(np.float32)
    return np.minimum(grey, white), corners[None]


# The fine picture places corners to half a fine sample, 0.04 px.
@pytest.mark.parametrize('blur_px', [0.5, 0.8, 1.0])
def test_corners_are_found_whatever_the_blur(blur_px):
    grey, corners = square(blur_px)
    found, u_px = refine_corners(grey, corners + np.array([[1.5, -1], [-1, 1], [0.5, 1.5], [-1.5, 0]]), 7)
    assert np.abs(found - corners).max() < 0.1
    assert np.all(u_px < 0.1)


def test_blur_wider_than_the_margin_moves_all_four_alike():
    grey, corners = square(1.8)
    found, _ = refine_corners(grey, corners, 7)
    off = found - corners
    outward = np.sign(corners - corners.mean(axis=1))
    assert np.ptp(np.sum(off * outward, axis=2)) < 0.1
    assert np.abs(off.mean(axis=1)).max() < 0.05


def test_light_that_falls_off_hardly_moves_them():
    grey, corners = square(0.8, slope=0.005)
    found, _ = refine_corners(grey, corners, 5)
    assert np.abs(found - corners).max() < 0.1


def test_an_edge_with_a_narrow_margin_is_read_by_its_neighbours_white():
    narrow, corners = square(0.1, angle_deg=0)
    narrow[:, round(corners[0, 1, 0] + 2.5) :] = 0.3
    narrow = cv2.GaussianBlur(narrow, (0, 0), 0.7)
    found, _ = refine_corners(narrow, corners, 9)
    assert np.abs(found - corners).max() < 0.1


def test_clipped_white_moves_all_four_out_or_in_alike():
    grey, corners = square(1.0, light=1.8, white=1.0)
    found, _ = refine_corners(grey, corners, 7)
    off = found - corners
    outward = np.sign(corners - corners.mean(axis=1))
    assert np.all(np.sum(off * outward, axis=2) < -0.1)
    assert np.abs(off.mean(axis=1)).max() < 0.05


def test_a_hidden_edge_leaves_its_two_corners_coarse():
    grey, corners = square(0.8)
    grey[:, 75:] = 0.05
    found, u_px = refine_corners(grey, corners, 7)
    assert list(np.isinf(u_px[0])) == [False, True, True, False]
    np.testing.assert_array_equal(found[0, 1:3], corners[0, 1:3])
    assert np.abs(found[0, [0, 3]] - corners[0, [0, 3]]).max() < 0.1


def test_no_squares_no_corners():
    found, u_px = refine_corners(np.zeros((20, 20), np.float32), np.zeros((0, 4, 2)), 7)
    assert found.shape == (0, 4, 2)
    assert u_px.shape == (0, 4)
