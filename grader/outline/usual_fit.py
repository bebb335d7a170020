"""The usual-looking piece whose silhouette from the side is nearest to a contour."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import least_squares

from calib.arrays import FloatArray, PointsPx
from calib.card_fit import CardFit
from grader.outline.constants import (
    PLACE_NUDGE_MM,
    RING_OF_RISE_RATIO,
    ROUGH_DIRECTIONS,
    SIDE_DROP_DOME,
    SIDE_DROP_EGG,
    SIDE_EGG_RISE_RATIO,
    SIDE_LIMITS,
    SIDE_NUDGE,
    SIDE_PLACE_MM,
    SIDE_RADIUS_MM,
    SIDE_RISE_RATIO,
    SIDE_SCATTER_RATIO,
    SIDE_STEPS,
    U_RING_OF_RISE_RATIO,
    U_SIDE_CUT_RATIO,
    U_SIDE_RISE_RATIO,
)
from grader.outline.dome_view import polygon_centre
from grader.outline.turned_piece import USUAL_EGG, USUAL_PIECE, TurnedPiece, radii_about

PLACE_X, PLACE_Y, FOOT = 0, 1, 3
"""Columns of `unusual_of`."""


@dataclass(frozen=True, slots=True, eq=False)
class UsualFit:
    """A piece, and how sure it is."""

    piece: TurnedPiece
    """The piece."""
    covariance: FloatArray
    """(7, 7) of place, radius, foot, rise, drop and cut."""
    cost: float
    """Half the sum of squares that is left."""

    def u_of(self, quantity: Callable[[TurnedPiece], float]) -> float:
        """Standard uncertainty of a number that follows from the piece."""
        best = _numbers(self.piece)
        nudges = np.diag(-SIDE_NUDGE * usual_numbers(self.piece)[1])
        here = quantity(_piece(best))
        slopes = np.array([(quantity(_piece(best + nudge)) - here) / nudge.sum() for nudge in nudges])
        return math.sqrt(float(slopes @ self.covariance @ slopes))


def fit_usual(
    card: CardFit,
    centre_px: FloatArray,
    radii_px: FloatArray,
    counts: npt.NDArray[np.bool_],
    start: TurnedPiece,
    scale: float = 1.0,
) -> UsualFit:
    """The usual-looking piece whose silhouette has these radii about a point, against outliers.

    Parameters
    ----------
    card : CardFit
    centre_px : ndarray of shape (2,)
    radii_px : ndarray of shape (ROUGH_DIRECTIONS,)
    counts : ndarray of shape (ROUGH_DIRECTIONS,)
        bool, which directions count.
    start : TurnedPiece
    scale : float
        Px of centre and radii for each px of the photo.
    """
    root = counts / (SIDE_SCATTER_RATIO * float(np.mean(radii_px)))

    def misfits(unusual: FloatArray) -> FloatArray:
        piece = _piece(usual + unusual * u_usual)
        off = root * (radii_about(centre_px, piece.silhouette(card, scale)) - radii_px)
        # Soft L1 loss on the contour alone; the usual shape stays a plain square.
        soft = np.sign(off) * np.sqrt(2 * (np.sqrt(1 + off**2) - 1))
        return np.concatenate([np.nan_to_num(soft), unusual])

    def slopes(unusual: FloatArray) -> FloatArray:
        here = misfits(unusual)
        step = np.where(unusual + SIDE_NUDGE < high, SIDE_NUDGE, -SIDE_NUDGE)
        return np.stack([(misfits(unusual + nudge) - here) / nudge.sum() for nudge in np.diag(step)], axis=1)

    usual, u_usual = usual_numbers(start)
    low, high = ((np.array(limit) - usual) / u_usual for limit in SIDE_LIMITS)
    first = np.clip((_numbers(start) - usual) / u_usual, low + 1e-3, high - 1e-3)
    found = least_squares(misfits, first, jac=slopes, bounds=(low, high), max_nfev=SIDE_STEPS)
    covariance = np.linalg.inv(found.jac.T @ found.jac) * np.outer(u_usual, u_usual)
    return UsualFit(_piece(usual + found.x * u_usual), np.asarray(covariance), float(found.cost))


def fit_place(
    card: CardFit,
    centre_px: FloatArray,
    radii_px: FloatArray,
    counts: npt.NDArray[np.bool_],
    piece: TurnedPiece,
    scale: float = 1.0,
) -> TurnedPiece:
    """A piece of known shape at the place where its silhouette has these radii best; see `fit_usual`."""
    root = counts / (SIDE_SCATTER_RATIO * float(np.mean(radii_px)))

    def misfits(place: FloatArray) -> FloatArray:
        seen = piece.moved_to(float(place[0]), float(place[1])).silhouette(card, scale)
        return np.asarray(np.nan_to_num(root * (radii_about(centre_px, seen) - radii_px)))

    def slopes(place: FloatArray) -> FloatArray:
        nudges = PLACE_NUDGE_MM * np.eye(2)
        columns = [(misfits(place + nudge) - misfits(place - nudge)) / (2 * PLACE_NUDGE_MM) for nudge in nudges]
        return np.stack(columns, axis=1)

    first = np.array([piece.x_mm, piece.y_mm])
    found = least_squares(misfits, first, jac=slopes, loss='soft_l1', max_nfev=SIDE_STEPS)
    return piece.moved_to(float(found.x[0]), float(found.x[1]))


def piece_of_contour(card: CardFit, contour_px: PointsPx) -> UsualFit:
    """The usual-looking piece behind a contour (N, 2) from the side, in px of the photo."""
    centre, radii = contour_radii(contour_px)
    counts = np.ones(ROUGH_DIRECTIONS, dtype=bool)
    fits = [fit_usual(card, centre, radii, counts, start) for start in (USUAL_PIECE, USUAL_EGG)]
    return min(fits, key=lambda fit: fit.cost)


def place_of_contour(card: CardFit, contour_px: PointsPx, piece: TurnedPiece) -> TurnedPiece:
    """A piece of known shape at its place behind a contour (N, 2) from the side, in px of the photo."""
    centre, radii = contour_radii(contour_px)
    at = card.to_plane_mm(centre[None], piece.ring_mm)[0]
    start = piece.moved_to(float(at[0]), float(at[1]))
    return fit_place(card, centre, radii, np.ones(ROUGH_DIRECTIONS, dtype=bool), start)


def contour_radii(contour_px: PointsPx) -> tuple[FloatArray, FloatArray]:
    """Middle (2,) and radii (ROUGH_DIRECTIONS,) of a contour (N, 2) that goes once round it."""
    centre = polygon_centre(contour_px)
    apart = contour_px - centre
    turn = np.arctan2(apart[:, 1], apart[:, 0]) % (2 * np.pi)
    order = np.argsort(turn, kind='stable')
    even = np.arange(ROUGH_DIRECTIONS) * 2 * np.pi / ROUGH_DIRECTIONS
    return centre, np.interp(even, turn[order], np.linalg.norm(apart, axis=1)[order], period=2 * np.pi)


def unusual_of(piece: TurnedPiece) -> FloatArray:
    """How unusual a piece is, (7,) in standard deviations: place, radius, foot, rise, drop, cut."""
    usual, u_usual = usual_numbers(piece)
    return np.asarray((_numbers(piece) - usual) / u_usual)


def down_px(card: CardFit) -> FloatArray:
    """Unit vector (2,) in the picture that points from a piece's top to its foot, however the camera was held."""
    top, foot = card.project_mm(np.array([[0.0, 0.0, USUAL_PIECE.height_mm], [0.0, 0.0, 0.0]]))
    return np.asarray((foot - top) / np.linalg.norm(foot - top))


def _piece(numbers: FloatArray) -> TurnedPiece:
    """The piece of place, radius, foot (ring over drop), rise over radius, drop over rise, and cut."""
    x, y, radius, foot, rise, drop, cut = (float(v) for v in numbers)
    return TurnedPiece(x, y, radius, foot * drop * rise * radius, rise * radius, drop * rise * radius, cut)


def _numbers(piece: TurnedPiece) -> FloatArray:
    return np.array(
        [
            piece.x_mm, piece.y_mm, piece.radius_mm, piece.ring_mm / piece.drop_mm,
            piece.rise_mm / piece.radius_mm, piece.drop_mm / piece.rise_mm, piece.cut_ratio,
        ]
    )  # fmt: skip


def usual_numbers(like: TurnedPiece) -> tuple[FloatArray, FloatArray]:
    """Usual place, radius, foot, rise, drop and cut of pieces of one kind, and their standard deviations, both (7,)."""
    is_egg = like.rise_mm > SIDE_EGG_RISE_RATIO * like.radius_mm
    drop, u_drop = SIDE_DROP_EGG if is_egg else SIDE_DROP_DOME
    usual = np.array([0.0, 0.0, SIDE_RADIUS_MM[0], RING_OF_RISE_RATIO, SIDE_RISE_RATIO, drop, 1.0])
    u_usual = np.array(
        [
            SIDE_PLACE_MM, SIDE_PLACE_MM, SIDE_RADIUS_MM[1], U_RING_OF_RISE_RATIO, U_SIDE_RISE_RATIO, u_drop,
            U_SIDE_CUT_RATIO,
        ]
    )  # fmt: skip
    return usual, u_usual
