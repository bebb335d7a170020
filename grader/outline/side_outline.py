"""The rough contour of a piece that is photographed from the side, standing on the card.

From the side the piece stands before print, table and whatever lies behind it. But it stands on the card, and a few
numbers give its silhouette. They are fitted to what stands out, nearer and nearer; in the end the contour may leave
that silhouette where facets cut into it.
"""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, RgbImage
from calib.card_fit import CardFit
from grader.outline.constants import (
    COMMON_WINDOW,
    FOOT_FACTORS,
    FOOT_UNUSUAL_COST,
    FOOT_WINDOW,
    LINE_WIDTH_FACTOR,
    PRINT_EDGE_PX,
    ROUGH_RADIUS_PX,
    SIDE_DOWN_MAX,
    SIDE_LAST_WINDOW,
    SIDE_NEAR_WINDOW,
    SIDE_WINDOWS,
    START_UNUSUAL_COST,
)
from grader.outline.dome_view import polygon_centre
from grader.outline.ground import long_lines_mask, print_edges_mask
from grader.outline.rough_contour import contour_costs
from grader.outline.turned_piece import STARTS, USUAL_PIECE, TurnedPiece, even_turns, radii_about
from grader.outline.usual_fit import FOOT, PLACE_X, PLACE_Y, down_px, fit_usual, unusual_of


@dataclass(frozen=True, slots=True, eq=False)
class SideContour:
    """A rough contour from the side."""

    centre_px: FloatArray
    """(2,) a point inside."""
    radii_px: FloatArray
    """(ROUGH_DIRECTIONS,) radii about it, from +x to +y."""
    piece: TurnedPiece
    """The piece whose silhouette is nearest."""


def side_contour(work: RgbImage, card: CardFit, scale: float) -> SideContour:
    """Rough contour of the piece, in px of `work`.

    Parameters
    ----------
    work : ndarray of shape (H, W, 3)
        The photo reduced by `scale`.
    card : CardFit
        Of the frame card, in px of the photo.
    scale : float
    """
    picture = SidePicture(work, card, scale)
    piece = picture.first_piece()
    return SideContour(*picture.contour(piece, SIDE_LAST_WINDOW), piece)


class SidePicture:
    """One photo, ready to be compared with silhouettes."""

    def __init__(self, work: RgbImage, card: CardFit, scale: float) -> None:
        self._work, self._card, self._scale = work, card, scale
        centre, radii = _seen(USUAL_PIECE, card, scale)
        edge_px = round(PRINT_EDGE_PX * max(float(radii.mean()) / ROUGH_RADIUS_PX, 1.0))
        self._mask = print_edges_mask(work.shape, card, scale, edge_px)
        self._mask &= long_lines_mask(work, card, scale, LINE_WIDTH_FACTOR * edge_px)
        self.is_low = even_turns() @ down_px(card) > SIDE_DOWN_MAX
        self._middle = centre
        self._common = contour_costs(work, self._mask, centre, radii, COMMON_WINDOW, self.is_low)

    def contour(self, piece: TurnedPiece, window: tuple[float, float, float]) -> tuple[FloatArray, FloatArray]:
        """Middle (2,) and radii (ROUGH_DIRECTIONS,) of the contour near a piece's silhouette."""
        centre, radii = _seen(piece, self._card, self._scale)
        costs = contour_costs(self._work, self._mask, centre, radii, window[:2], self.is_low)
        return centre, costs.cheapest(window[2])

    def first_piece(self) -> TurnedPiece:
        """The piece as this one photo shows it."""
        starts = [self.near(start) for start in STARTS]
        piece = self.with_foot(min(starts, key=self._start_cost))
        every = np.ones_like(self.is_low)
        return fit_usual(self._card, *self.contour(piece, SIDE_NEAR_WINDOW), every, piece, self._scale).piece

    def near(self, piece: TurnedPiece) -> TurnedPiece:
        """The piece near a first guess, by what stands out higher up than its foot."""
        for window in SIDE_WINDOWS:
            piece = fit_usual(self._card, *self.contour(piece, window), ~self.is_low, piece, self._scale).piece
        return piece

    def costs(self, piece: TurnedPiece) -> FloatArray:
        """Cost (ROUGH_DIRECTIONS,) of its silhouette, comparable between pieces."""
        return self._common.of(radii_about(self._middle, piece.silhouette(self._card, self._scale)))

    def _start_cost(self, piece: TurnedPiece) -> float:
        """Mean cost of its silhouette higher up than its foot, and of how unusual it is."""
        unusual = unusual_of(piece)
        return float(self.costs(piece)[~self.is_low].mean() + START_UNUSUAL_COST * (unusual**2).sum())

    def with_foot(self, piece: TurnedPiece) -> TurnedPiece:
        """The piece, further away and larger or nearer and smaller, whose foot is seen best.

        Drawn out from the camera by one factor, a piece keeps its silhouette but for the foot, where the card cuts it
        off.
        """
        centre, radii = _seen(piece, self._card, self._scale)
        costs = contour_costs(self._work, self._mask, centre, radii, FOOT_WINDOW, self.is_low)
        found = []
        for factor in np.linspace(*FOOT_FACTORS):
            one = _drawn_out(piece, self._card.camera_position_mm, float(factor))
            if one.ring_mm <= 0:
                continue
            seen = radii_about(centre, one.silhouette(self._card, self._scale))
            unusual = unusual_of(one)[[PLACE_X, PLACE_Y, FOOT]]
            found.append((float(costs.of(seen)[self.is_low].mean() + FOOT_UNUSUAL_COST * (unusual**2).sum()), one))
        return min(found, key=lambda pair: pair[0])[1]


def _drawn_out(piece: TurnedPiece, eye_mm: FloatArray, factor: float) -> TurnedPiece:
    """The piece grown about the camera by `factor`, cut off by the card anew; the lower half stays below the card."""
    centre = eye_mm + factor * (np.array([piece.x_mm, piece.y_mm, piece.ring_mm]) - eye_mm)
    x, y, ring = (float(v) for v in centre)
    top = eye_mm[2] + factor * (piece.height_mm - eye_mm[2])
    rise, drop = factor * piece.rise_mm, factor * piece.drop_mm
    return TurnedPiece(x, y, factor * piece.radius_mm, ring, rise, max(drop, ring), min(top / (ring + rise), 1.0))


def _seen(piece: TurnedPiece, card: CardFit, scale: float) -> tuple[FloatArray, FloatArray]:
    """Middle and radii of a piece's silhouette."""
    hull = piece.silhouette(card, scale)
    centre = polygon_centre(hull)
    return centre, radii_about(centre, hull)
