import numpy as np
import pytest

from calib.card import load_card
from calib.measured import Measured
from grader.outline.dome_view import NoCard, polygon_centre
from grader.outline.height import FromSides, UsualShape
from grader.outline.see_dome import find_outline
from grader.outline.side_view import is_side_view
from grader.outline.surface import fit_surface
from grader.outline.turned_piece import TurnedPiece, radii_about
from grader.outline.usual_fit import piece_of_contour, place_of_contour
from tests.support.card_scene import CardScene
from tests.support.dome_photos import SIDE_SCENE, side_photo
from tests.support.known_card import card_fit_of
from tests.support.side_views import DOME, EGG, card_from, side_view

CARD = card_fit_of(SIDE_SCENE.card)
TRUE = TurnedPiece(2.0, -3.0, 34.0, 25.0, 33.0, 33.0)


@pytest.fixture(scope='module')
def outline():
    return find_outline(side_photo(), CARD, name='side')


def off_px(outline):
    true = TRUE.silhouette(CARD)
    centre = polygon_centre(true)
    apart = outline.contour_px - centre
    turn = np.arctan2(apart[:, 1], apart[:, 0]) % (2 * np.pi)
    order = np.argsort(turn)
    even = np.arange(360) * 2 * np.pi / 360
    seen = np.interp(even, turn[order], np.linalg.norm(apart, axis=1)[order], period=2 * np.pi)
    return seen - radii_about(centre, true)


def test_side_and_top_are_told_apart():
    assert is_side_view(CARD)
    assert is_side_view(card_from(200.0, 27.0))
    assert not is_side_view(card_fit_of(CardScene(load_card('frame'), tilt_deg=20.0)))
    assert not is_side_view(card_fit_of(CardScene(load_card('pocket'), tilt_deg=68.0)))
    assert not is_side_view(NoCard('none'))


def test_the_outline_from_the_side_is_the_silhouette(outline):
    off = off_px(outline)
    # In a picture of 120 px of radius; the scene's contact shadow hides part of the foot.
    assert np.median(np.abs(off)) < 0.7
    assert np.percentile(np.abs(off), 90) < 2.5
    assert outline.shape == 'free'


def test_the_surface_from_the_side_stands_where_the_piece_does(outline):
    surface = fit_surface(outline, CARD, UsualShape())
    assert surface.ring.source == 'photo from the side'
    assert surface.mean_radius_mm == pytest.approx(34.0, abs=1.0)
    assert surface.apex_mm[2] == pytest.approx(58.0, abs=1.5)
    np.testing.assert_allclose(surface.centre_mm[:2], [2.0, -3.0], atol=3.0)


def test_pixels_show_the_points_of_the_glass_that_are_seen_there():
    card = card_from(60.0)
    view = side_view(DOME, card)
    known = FromSides(DOME.moved_to(0, 0), 0.0, Measured(68.0), Measured(68.0))
    surface = fit_surface(view.outline, card, known)
    np.testing.assert_allclose(surface.centre_mm, [2.0, -3.0, 24.0], atol=0.02)
    eye = card.camera_position_mm
    toward = eye - surface.centre_mm
    toward[2] = 0
    # The point of the widest ring that is nearest to the camera.
    nearest = np.array([2.0, -3.0, 24.0]) + 34.0 * toward / np.linalg.norm(toward)
    found = surface.locate(card.project_mm(nearest[None]))
    np.testing.assert_allclose(found.points_mm[0], nearest, atol=0.05)
    assert found.facing[0] == pytest.approx(
        (eye - nearest) @ toward / np.linalg.norm(eye - nearest) / np.linalg.norm(toward), abs=1e-3
    )
    assert found.inside[0]


@pytest.mark.parametrize('piece', [DOME, EGG], ids=['dome', 'egg'])
def test_the_piece_behind_its_own_silhouette_comes_back(piece):
    card = card_from(310.0, 16.0)
    contour = side_view(piece, card).outline.contour_px
    fit = piece_of_contour(card, contour)
    # Place along the line of sight, size and foot trade off; the usual shape decides between them.
    assert fit.piece.radius_mm == pytest.approx(piece.radius_mm, rel=0.03)
    assert fit.piece.height_mm == pytest.approx(piece.height_mm, rel=0.03)
    assert 0.02 < fit.u_of(lambda one: one.height_mm) < 4.0
    placed = place_of_contour(card, contour, piece.moved_to(0, 0))
    assert (placed.x_mm, placed.y_mm) == pytest.approx((piece.x_mm, piece.y_mm), abs=0.02)
