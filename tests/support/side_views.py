"""A piece of known form on the card, seen from the side by known cameras: exact silhouettes, no picture."""

from dataclasses import replace

import numpy as np

from calib.card import load_card
from grader.outline.dome_view import DomeOutline, DomeView, NoEllipse
from grader.outline.turned_piece import TurnedPiece, radii_about
from tests.support.card_scene import CardScene
from tests.support.known_card import card_fit_of
from tests.support.piece_view import make_view

DOME = TurnedPiece(2.0, -3.0, 34.0, 24.0, 33.0, 33.0)
FLAT_TOPPED = TurnedPiece(-1.0, 2.0, 40.0, 28.0, 40.0, 40.0, cut_ratio=0.92)
EGG = TurnedPiece(0.0, 1.0, 30.0, 33.0, 46.0, 42.0)


def card_from(around_deg, up_deg=20.0, distance_mm=380.0, focal_px=3000.0, *, u_print_ratio=0.0):
    """The fit of a camera `up_deg` over the table that looks at the middle of the piece."""
    around, up = np.deg2rad([around_deg, up_deg])
    place = distance_mm * np.array([np.cos(up) * np.cos(around), np.cos(up) * np.sin(around), np.sin(up)])
    forward = np.array([0, 0, 25.0]) - place
    forward /= np.linalg.norm(forward)
    right = np.cross(forward, [0, 0, 1.0])
    right /= np.linalg.norm(right)
    rotation = np.stack([right, np.cross(forward, right), forward])
    known = card_fit_of(CardScene(load_card('frame'), focal_px=focal_px, size_px=(1800, 1800)))
    return replace(
        known, rotation=rotation, translation_mm=-rotation @ place, u_print_ratio=u_print_ratio,
        covariance=known.covariance.copy(),
    )  # fmt: skip


def side_view(piece, card, u_edge_px=0.2):
    """The view of a piece whose outline is its exact silhouette."""
    hull = piece.silhouette(card)
    middle = hull.mean(axis=0)
    turn = 2 * np.pi * np.arange(720) / 720
    contour = middle + radii_about(middle, hull, 720)[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])
    outline = DomeOutline(contour, 'free', NoEllipse('seen from the side'), u_edge_px, ())
    return DomeView(make_view().photo, card, outline)


def four_sides(piece, *, places=((0, 0), (0, 0), (0, 0), (0, 0)), **card):
    """Views from four sides; the piece is moved to each place beforehand."""
    return [
        side_view(piece.moved_to(*place), card_from(around, up, **card))
        for place, around, up in zip(places, (20, 105, 200, 290), (15, 19, 23, 26), strict=True)
    ]
