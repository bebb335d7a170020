"""Camera and card geometry against closed formulas and published sizes.

Source: a sphere's outline is where the cone of tangents from the camera meets the picture plane (classical; the tables
recomputed); ISO/IEC 7810 for the ID-1 card; Exif's diagonal rule for 35 mm equivalents; IEC 61966-2-1 for sRGB.
"""

import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from calib.camera import Camera
from calib.camera_prior import focal_from_f35
from calib.card import load_card
from calib.card_fit import CardFit
from calib.linear_light import decode_srgb, encode_srgb
from calib.markers import MarkerCorners
from calib.pose import PARAMETER_NAMES

RADIUS_MM, FOCAL_PX = 35.0, 3000.0
CAMERA = Camera(FOCAL_PX, (0.0, 0.0), 0.0, (4000, 3000), 0.0, 'known')


def tangent_circle(centre_mm, radius_mm, n=360):
    """Points (n, 3) where lines from the origin touch a sphere."""
    centre = np.asarray(centre_mm, dtype=float)
    d = np.linalg.norm(centre)
    axis = centre / d
    across = np.cross(axis, [0.3, 0.9, 0.1])
    across /= np.linalg.norm(across)
    up = np.cross(axis, across)
    angles = np.linspace(0, 2 * np.pi, n, endpoint=False)
    ring = np.cos(angles)[:, None] * across + np.sin(angles)[:, None] * up
    return axis * (d - radius_mm**2 / d) + radius_mm * math.sqrt(1 - (radius_mm / d) ** 2) * ring


def card_from_above(height_mm):
    """A card fit of a camera that looks straight down from a height over the card's middle."""
    empty = MarkerCorners(np.zeros(0, np.int64), np.zeros((0, 4, 2)), np.zeros((0, 4)), CAMERA.size_px)
    n = len(PARAMETER_NAMES)
    return CardFit(
        load_card('frame'), CAMERA, np.diag([1.0, -1.0, -1.0]), np.array([0.0, 0.0, height_mm]),
        np.zeros((n, n)), PARAMETER_NAMES, empty, 0.0, 1.0, 0.0, (),
    )  # fmt: skip


@pytest.mark.parametrize(
    ('d_mm', 'r_px', 'tangent_mm', 'nearer_mm'),
    [
        (200, 533.229, 34.4599, 6.1250),
        (300, 352.407, 34.7610, 4.0833),
        (400, 263.511, 34.8658, 3.0625),
        (600, 175.299, 34.9404, 2.0417),
        (1000, 105.064, 34.9786, 1.2250),
    ],
)  # fmt: skip
def test_sph_1_a_sphere_ahead(d_mm, r_px, tangent_mm, nearer_mm):
    touched = tangent_circle([0, 0, d_mm], RADIUS_MM)
    assert np.linalg.norm(touched[0, :2]) == pytest.approx(tangent_mm, abs=5e-5)
    assert d_mm - touched[0, 2] == pytest.approx(nearer_mm, abs=5e-5)
    np.testing.assert_allclose(np.linalg.norm(CAMERA.project(touched), axis=1), r_px, atol=6e-4)


def test_sph_1_the_outlines_rays_lean_by_asin_r_over_d():
    rays = CAMERA.rays(np.array([[352.407, 0.0]]))
    assert math.acos(rays[0, 2]) == pytest.approx(math.asin(35 / 300), abs=1e-6)


def test_sph_2_a_sphere_off_the_axis_is_an_ellipse():
    outline = CAMERA.project(tangent_circle([60, 0, 400], RADIUS_MM))
    (x, y), axes, _ = cv2.fitEllipseDirect(outline.astype(np.float32))
    assert sorted(np.array(axes) / 2) == pytest.approx([263.511, 266.481], abs=0.01)
    assert (x, y) == pytest.approx((453.472, 0), abs=0.01)


@pytest.mark.parametrize(
    ('camera_mm', 'centre_mm', 'read_mm'),
    [
        (300, 0, 35.2407), (400, 0, 35.1348), (600, 0, 35.0597),
        (400, 10, 36.0429), (400, 15, 36.5148),
        (300, 35, 39.9728), (400, 35, 38.5337), (600, 35, 37.2397),
    ],
)  # fmt: skip
def test_sph_3_a_dome_read_in_the_cards_plane_looks_too_wide(camera_mm, centre_mm, read_mm):
    card = card_from_above(camera_mm)
    outline = CAMERA.project(tangent_circle([0, 0, camera_mm - centre_mm], RADIUS_MM))
    np.testing.assert_allclose(np.linalg.norm(card.to_plane_mm(outline), axis=1), read_mm, atol=6e-5)


@pytest.mark.parametrize(
    ('camera_mm', 'height_mm', 'percent'),
    [(400, 0.76, 0.1904), (400, 1.5, 0.3764), (400, 20, 5.2632), (400, 35, 9.5890), (500, 25, 5.2632)],
)
def test_plane_what_stands_up_reads_too_large(camera_mm, height_mm, percent):
    card = card_from_above(camera_mm)
    raised = np.array([[10.0, 20.0, height_mm], [-30.0, 5.0, height_mm]])
    seen = card.project_mm(raised)
    np.testing.assert_allclose(100 * (card.to_plane_mm(seen) / raised[:, :2] - 1), percent, atol=6e-5)
    np.testing.assert_allclose(card.to_plane_mm(seen, height_mm), raised[:, :2], atol=1e-9)


def test_card_1_id_1_size_and_what_a_camera_sees_of_it():
    width, height = load_card('pocket').outer_size_mm
    assert (width, height) == (85.60, 53.98)
    assert math.hypot(width, height) == pytest.approx(101.19882, abs=1e-5)
    corners = load_card('pocket').outline_mm()
    seen = card_from_above(400.0).project_mm(corners)
    assert np.ptp(seen, axis=0) == pytest.approx([642.000, 404.850], abs=1e-3)


def test_card_1_tilted_by_10_degrees_both_edges_still_read_85_60_mm():
    tilt = cv2.Rodrigues(np.array([math.radians(10), 0.0, 0.0]))[0]
    level = card_from_above(400.0)
    card = replace(level, rotation=tilt @ level.rotation)
    corners = load_card('pocket').outline_mm()
    seen = card.project_mm(corners)
    lengths = sorted([np.linalg.norm(seen[1] - seen[0]), np.linalg.norm(seen[2] - seen[3])])
    assert lengths == pytest.approx([634.5649, 649.6114], abs=1e-3)
    np.testing.assert_allclose(card.to_plane_mm(seen), corners[:, :2], atol=1e-9)


def test_f35_by_the_diagonal_rule_not_the_width_rule():
    assert focal_from_f35(26, (4032, 3024)) == pytest.approx(3028.66, abs=0.005)
    assert focal_from_f35(26, (3024, 4032)) == focal_from_f35(26, (4032, 3024))


@pytest.mark.parametrize(
    ('code', 'linear'),
    [
        (0, 0), (1, 0.00030353), (10, 0.00303527), (11, 0.00334654), (64, 0.05126946), (118, 0.18116424),
        (128, 0.21586050), (188, 0.50288646), (200, 0.57758044), (254, 0.99110210), (255, 1),
    ],
)  # fmt: skip
def test_srgb_table(code, linear):
    assert decode_srgb(np.array(code / 255)) == pytest.approx(linear, abs=1e-7)


@pytest.mark.parametrize(('linear', 'code'), [(0.18, 117.646), (0.5, 187.516)])
def test_srgb_encoding(linear, code):
    assert 255 * encode_srgb(np.array(linear)) == pytest.approx(code, abs=1e-3)
