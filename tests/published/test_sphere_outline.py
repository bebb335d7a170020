"""Apparent size of a sphere, closed forms recomputed by tracing the tangent cone.

Sphere of radius R whose middle is d from the camera, focal length f: on the axis its outline has radius
f R / sqrt(d^2 - R^2); off the axis by angle t, with a = asin(R / d), it is an ellipse of half-axes
f sin a cos a / (cos^2 t - sin^2 a) and f sin a / sqrt(cos^2 t - sin^2 a). A hemisphere whose widest ring lies at
height c above a card at distance H reads H R / sqrt((H - c)^2 - R^2) on the card's scale.
"""

import numpy as np
import pytest

from grader.outline.fit_ellipse import fit_ellipse
from grader.outline.height import SeenHeight
from grader.outline.surface import tangent_dome

R_MM, F_PX = 35.0, 3000.0


def cone(middle, n=180):
    """Unit directions from the origin that graze the sphere."""
    distance = np.linalg.norm(middle)
    axis = middle / distance
    side = np.linalg.svd(axis[None])[2][1:]
    turn = np.linspace(0, 2 * np.pi, n, endpoint=False)[:, None]
    half = np.arcsin(R_MM / distance)
    return np.cos(half) * axis + np.sin(half) * (np.cos(turn) * side[0] + np.sin(turn) * side[1])


@pytest.mark.parametrize(
    ('distance_mm', 'radius_px'),
    [(200, 533.229), (300, 352.407), (400, 263.511), (600, 175.299), (1000, 105.064)],
)
def test_a_sphere_on_the_axis(distance_mm, radius_px):
    rays = cone(np.array([0.0, 0.0, distance_mm]))
    points = F_PX * rays[:, :2] / rays[:, 2:]
    fit = fit_ellipse(points, np.ones(len(points)))
    assert fit.semi_major_px == pytest.approx(radius_px, abs=1e-3)
    assert fit.semi_minor_px == pytest.approx(radius_px, abs=1e-3)


def test_a_sphere_off_the_axis():
    rays = cone(np.array([60.0, 0.0, 400.0]))
    points = F_PX * rays[:, :2] / rays[:, 2:]
    fit = fit_ellipse(points, np.ones(len(points)))
    assert fit.semi_major_px == pytest.approx(266.481, abs=1e-3)
    assert fit.semi_minor_px == pytest.approx(263.511, abs=1e-3)
    # The outline's middle lies further out than the image of the sphere's, which is at 450 px.
    assert fit.centre_px[0] == pytest.approx(453.472, abs=1e-3)
    assert min(fit.angle_deg, 180 - fit.angle_deg) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ('camera_mm', 'ring_mm', 'card_radius_mm'),
    [
        (300, 0, 35.2407), (400, 0, 35.1348), (600, 0, 35.0597), (400, 10, 36.0429), (400, 15, 36.5148),
        (300, 35, 39.9728), (400, 35, 38.5337), (600, 35, 37.2397),
    ],
)  # fmt: skip
def test_a_sphere_over_the_card_is_measured_at_its_ring(camera_mm, ring_mm, card_radius_mm):
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    seen = np.column_stack([card_radius_mm * np.cos(turn), card_radius_mm * np.sin(turn), np.zeros(180)])
    origin = np.array([0.0, 0.0, camera_mm])
    rays = seen - origin
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    height = SeenHeight(float(ring_mm), 0.0, R_MM, 'known')
    _, shape, _ = tangent_dome(np.broadcast_to(origin, rays.shape), rays, height)
    # The table gives radii to 0.0001 mm.
    assert 1 / shape[0, 0] == pytest.approx(R_MM, abs=1e-4)
    assert 1 / shape[1, 1] == pytest.approx(R_MM, abs=1e-4)
