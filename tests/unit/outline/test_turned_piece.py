import cv2
import numpy as np
import pytest

from grader.outline.turned_piece import TurnedPiece, radii_about
from tests.support.side_views import DOME, FLAT_TOPPED, card_from


def solid_points(piece, n=400):
    """Points all over the surface of a body, brute force."""
    turn = np.linspace(0, 2 * np.pi, n, endpoint=False)
    heights = np.linspace(0, piece.height_mm, n)
    radii, _ = piece.profile(heights)
    rings = np.stack([np.outer(radii, np.cos(turn)), np.outer(radii, np.sin(turn))], axis=-1)
    stretch = np.eye(2) + np.array([[piece.stretch_x, piece.stretch_y], [piece.stretch_y, -piece.stretch_x]])
    flat = rings.reshape(-1, 2) @ stretch.T + (piece.x_mm, piece.y_mm)
    return np.column_stack([flat, np.repeat(heights, n)])


def test_heights_and_widths_of_a_dome():
    assert DOME.height_mm == pytest.approx(57.0)
    assert DOME.base_radius_mm == pytest.approx(34.0 * np.sqrt(1 - (24 / 33) ** 2))
    assert FLAT_TOPPED.height_mm == pytest.approx(0.92 * 68.0)
    assert TurnedPiece(0, 0, 30.0, 20.0, 30.0, 30.0, 1.0, 0.003, 0.004).largest_width_mm == pytest.approx(60.3)


@pytest.mark.parametrize(
    'piece',
    [DOME, FLAT_TOPPED, TurnedPiece(4.0, 1.0, 31.0, 20.0, 29.0, 31.0, 1.0, 0.02, -0.03)],
    ids=['dome', 'flat on top', 'oval'],
)
@pytest.mark.parametrize('up_deg', [14.0, 27.0, 60.0])
def test_the_silhouette_holds_all_points_of_the_body_and_no_more(piece, up_deg):
    card = card_from(130.0, up_deg)
    brute = cv2.convexHull(card.project_mm(solid_points(piece)).astype(np.float32))[:, 0].astype(float)
    middle = brute.mean(axis=0)
    off = radii_about(middle, piece.silhouette(card)) - radii_about(middle, brute)
    # Both hulls have chords between their points, up to 0.1 px inside the curve of 250 px of radius.
    assert np.abs(off).max() < 0.12


def test_radii_about_a_point_meet_the_polygon():
    square = np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    radii = radii_about(np.zeros(2), square)
    assert radii[0] == pytest.approx(1)
    assert radii[45] == pytest.approx(np.sqrt(2))
    assert radii_about(np.array([0.5, 0.0]), square)[180] == pytest.approx(1.5)
