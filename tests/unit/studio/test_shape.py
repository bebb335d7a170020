"""The studio's star-shaped surfaces against plain geometry."""

import numpy as np
import pytest

from fixtures.studio import marks as mk
from fixtures.studio import shape as form

BALL = form.PieceShape('round', 30.0, 30.0, 30.0, 20.0)


def enclosed_mm3(mesh: form.MeshArrays) -> float:
    a, b, c = (mesh.vertices[mesh.faces[:, k]].astype(float) for k in range(3))
    return float((a * np.cross(b, c)).sum() / 6)


def test_truncated_ball_has_its_volume_and_height():
    # Ball of radius r cut at z = 0, its centre h above: pi (2 r^3 / 3 + r^2 h - h^3 / 3).
    expected = np.pi * (2 * 30**3 / 3 + 30**2 * 20 - 20**3 / 3)
    assert enclosed_mm3(form.dome_mesh(BALL)) == pytest.approx(expected, rel=2e-4)
    assert BALL.height_mm == pytest.approx(50.0)


def test_normals_of_a_ball_point_away_from_its_centre():
    mesh = form.dome_mesh(BALL, rows=120)
    away = mesh.vertices - [0, 0, 20.0]
    round_part = mesh.vertices[:, 2] > 1.0
    away = away[round_part] / np.linalg.norm(away[round_part], axis=1, keepdims=True)
    assert np.abs(away - mesh.normals[round_part]).max() < 2e-3


@pytest.mark.parametrize('facets', [(), ((0.0, 0.0, 1.0, 26.0), (0.9, 0.0, 0.43589, 27.0))], ids=['round', 'faceted'])
def test_split_cells_leave_no_gap(facets):
    shape = form.PieceShape('x', 30.0, 29.5, 28.0, 20.0, facets=facets)
    chip = mk.make_chip(np.random.default_rng(5), shape, 1, np.array([0.6, 0.0, 0.8])).chip
    mesh = form.dome_mesh(shape, (chip,))
    a, b, c = (mesh.vertices[mesh.faces[:, k]].astype(float) for k in range(3))
    # The area vectors of a closed surface add up to nothing; one open cell here would leave 0.05 mm2.
    assert np.abs(np.cross(b - a, c - a).sum(0)).max() < 1e-3


def test_chip_takes_its_depth_out_of_the_surface():
    mark = mk.make_chip(np.random.default_rng(6), BALL, 1, np.array([0.0, 0.6, 0.8]))
    direction = np.array([[0.0, 0.6, 0.8]])
    cut = form.radius(BALL, direction) - form.cut_radius(BALL, (mark.chip,), direction)
    assert cut[0] == pytest.approx(mark.depth_mm, abs=mark.chip.ripple_mm + 1e-9)


def test_facet_plane_flattens_the_top():
    shape = form.PieceShape('x', 30.0, 30.0, 30.0, 20.0, facets=((0.0, 0.0, 1.0, 25.0),))
    mesh = form.dome_mesh(shape)
    top = mesh.vertices[np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1]) < 14.0]
    assert np.abs(top[top[:, 2] > 30.0][:, 2] - 45.0).max() < 1e-4


def test_surface_map_keeps_angles_from_the_top():
    theta = np.radians([0.0, 30.0, 90.0])
    directions = np.stack([np.zeros(3), np.sin(theta), np.cos(theta)], axis=1)
    uv = form.map_uv(directions)
    assert uv[:, 0] == pytest.approx([0.5, 0.5, 0.5])
    assert uv[:, 1] - 0.5 == pytest.approx([0.0, 0.125, 0.375])
