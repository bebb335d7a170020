"""Largest and smallest caliper width of the piece, with standard uncertainties by named cause."""

import math
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.card_fit import CardFit
from calib.measured import Measured, mean_of
from grader.outline.constants import SURFACE_RAYS, U_SIDE_MODEL_RATIO
from grader.outline.dome_view import DomeOutline, DomeView, EllipseFit, NoCard
from grader.outline.height import FromSides, HeightKnowledge, RingHeight, SeenHeight
from grader.outline.hull_width import HullWidths, hull_widths
from grader.outline.side_view import is_side_view
from grader.outline.surface import equator_of, tangent_dome
from grader.outline.usual_fit import piece_of_contour

CARD_PRINT = "card print"
MARKER_CORNERS = "marker corners"
OUTLINE = "outline"
CAMERA_DISTANCE = "camera distance"
RING_HEIGHT = "height of the widest ring"
SIDE_PHOTOS = "photos from the side"


@dataclass(frozen=True, slots=True, eq=False)
class Diameters:
    """Caliper widths of the piece seen from straight above."""

    max_mm: Measured | None
    """Largest width; None only without a card."""
    min_mm: Measured | None
    """Smallest width; None only without a card."""
    max_px: float
    """Largest width of the outline in the photo."""
    min_px: float
    """Smallest width of the outline in the photo."""
    max_direction_deg: float
    """Direction of the largest width, 0 to 180: in the card frame (from x to y), without a card in the image frame."""
    min_direction_deg: float
    """The same of the smallest width."""
    max_ends_px: PointsPx
    """(2, 2) the points of the outline between which the largest width is taken."""
    min_ends_px: PointsPx
    """(2, 2) the same of the smallest width."""
    ring: RingHeight | NoCard
    """Height of the widest ring that was taken, and whence."""


def measure_diameters(view: DomeView, height: HeightKnowledge) -> Diameters:
    """Widths of the piece of one photo.

    The outline's rays are tangents of a dome whose widest ring lies at the height that `height` gives; the caliper
    is laid on that ring. Without a card only px come back; from the side, one width for both.

    Parameters
    ----------
    view : DomeView
    height : HeightKnowledge
        What is known of the height of the widest ring.
    """
    outline, card = view.outline, view.card
    in_px = hull_widths(outline.contour_px)
    if isinstance(card, NoCard):
        return Diameters(
            None, None, in_px.largest, in_px.smallest, in_px.largest_deg, in_px.smallest_deg,
            in_px.largest_ends, in_px.smallest_ends, card,
        )  # fmt: skip
    if is_side_view(card):
        return _from_side(outline, card, in_px)
    points = _thinned(outline.contour_px)
    widths, ring, index = _caliper(points, card, height)
    largest, smallest = _budgets(widths, points, outline, card, height, ring)
    if isinstance(height, FromSides):
        largest, smallest = _joined_with_sides(largest, smallest, height, is_round=outline.shape == 'round')
    return Diameters(
        max_mm=largest,
        min_mm=smallest,
        max_px=in_px.largest,
        min_px=in_px.smallest,
        max_direction_deg=widths.largest_deg,
        min_direction_deg=widths.smallest_deg,
        max_ends_px=points[index[0]],
        min_ends_px=points[index[1]],
        ring=ring,
    )


def _joined_with_sides(
    largest: Measured, smallest: Measured, sides: FromSides, *, is_round: bool
) -> tuple[Measured, Measured]:
    """Both widths, scaled to the mean of what this photo and those from the side tell, weighted by their own doubts.

    A photo from above knows the widths' ratio well and their scale less so. The print is one cause for both.
    """
    above, side = (mean_of([largest, smallest]), sides.mean_width_mm) if is_round else (largest, sides.largest_width_mm)
    own_above, own_side = (_without_print(one) for one in (above, side))
    share = own_above**2 / max(own_above**2 + own_side**2, 1e-30)
    factor = 1 + share * (side.value / above.value - 1)

    def joined(width: Measured) -> Measured:
        scaled = width.scaled(factor)
        parts = {cause: part if cause == CARD_PRINT else part * (1 - share) for cause, part in scaled.components}
        parts[SIDE_PHOTOS] = share * own_side / side.value * scaled.value
        return Measured(scaled.value, tuple(parts.items()))

    return joined(largest), joined(smallest)


def _without_print(width: Measured) -> float:
    """Standard uncertainty of a width but for the print."""
    return math.hypot(*(part for cause, part in width.components if cause != CARD_PRINT))


def _from_side(outline: DomeOutline, card: CardFit, in_px: HullWidths) -> Diameters:
    """The mean width, which is all that one photo from the side shows; a round piece is assumed."""
    fit = piece_of_contour(card, outline.contour_px)
    value = 2 * fit.piece.radius_mm
    u_model = float(np.hypot(2 * fit.u_of(lambda one: one.radius_mm), U_SIDE_MODEL_RATIO * value))
    width = Measured(value, ((CARD_PRINT, value * card.u_print_ratio), (OUTLINE, u_model)))
    ring = RingHeight(fit.piece.ring_mm, fit.u_of(lambda one: one.ring_mm), fit.piece.rise_mm, "photo from the side")
    return Diameters(
        width, width, in_px.largest, in_px.smallest, in_px.largest_deg, in_px.smallest_deg,
        in_px.largest_ends, in_px.smallest_ends, ring,
    )  # fmt: skip


def _thinned(contour_px: PointsPx) -> PointsPx:
    """Every few points of a contour, enough for a caliper."""
    return contour_px[:: max(len(contour_px) // (2 * SURFACE_RAYS), 1)]


def _caliper(
    points_px: PointsPx, card: CardFit, height: HeightKnowledge
) -> tuple[HullWidths, RingHeight, 'tuple[FloatArray, FloatArray]']:
    """Widths in mm, heights taken, and the outline points (two indices each) of largest and smallest width."""
    origin, directions = card.rays_mm(points_px)
    origins = np.broadcast_to(origin, directions.shape)
    centre, shape, ring = tangent_dome(origins, directions, height)
    equator = equator_of(origins, directions, centre, shape)
    widths = hull_widths(equator)
    index = tuple(
        np.array([np.linalg.norm(equator - end, axis=1).argmin() for end in ends])
        for ends in (widths.largest_ends, widths.smallest_ends)
    )
    return widths, ring, (index[0], index[1])


def _budgets(
    widths: HullWidths,
    points_px: PointsPx,
    outline: DomeOutline,
    card: CardFit,
    height: HeightKnowledge,
    ring: RingHeight,
) -> tuple[Measured, Measured]:
    """Both widths with their causes of doubt; JCGM 100:2008, 5.1.2, slopes by finite differences."""
    best = np.array([widths.largest, widths.smallest])
    slopes = np.array([_moved_widths(points_px, card, height, k) for k in range(len(card.parameter_names))]) - best
    slopes /= _steps(card)[:, None]
    distance, corners = _card_parts(slopes, card)
    raised = SeenHeight(ring.ring_mm + ring.u_ring_mm, 0.0, ring.rise_mm, ring.source)
    by_height = _widths_of(points_px, card, raised) - best
    by_outline = _outline_parts(points_px, outline, card, best, height)
    return tuple(  # type: ignore[return-value]
        Measured(
            float(best[k]),
            (
                (CARD_PRINT, float(best[k] * card.u_print_ratio)),
                (MARKER_CORNERS, float(corners[k])),
                (OUTLINE, float(by_outline[k])),
                (CAMERA_DISTANCE, float(distance[k])),
                (RING_HEIGHT, float(by_height[k])),
            ),
        )
        for k in range(2)
    )


def _widths_of(points_px: PointsPx, card: CardFit, height: HeightKnowledge) -> FloatArray:
    widths, _, _ = _caliper(points_px, card, height)
    return np.array([widths.largest, widths.smallest])


def _steps(card: CardFit) -> FloatArray:
    """A step for each of the card fit's parameters, small but well above rounding."""
    return np.maximum(np.sqrt(np.diag(card.covariance)) * 0.1, 1e-9)


def _moved_widths(points_px: PointsPx, card: CardFit, height: HeightKnowledge, k: int) -> FloatArray:
    step = np.zeros(len(card.parameter_names))
    step[k] = _steps(card)[k]
    return _widths_of(points_px, card.moved(step), height)


def _card_parts(slopes: FloatArray, card: CardFit) -> tuple[FloatArray, FloatArray]:
    """The card fit's part of each width's doubt: what goes with the camera's distance, and the rest, both (2,)."""
    at = card.parameter_names.index('log_distance')
    covariance = card.covariance
    total = np.einsum('ik,ij,jk->k', slopes, covariance, slopes)
    distance = slopes.T @ covariance[:, at] / np.sqrt(max(covariance[at, at], 1e-30))
    return distance, np.sqrt(np.maximum(total - distance**2, 0.0))


def _outline_parts(
    points_px: PointsPx, outline: DomeOutline, card: CardFit, best: FloatArray, height: HeightKnowledge
) -> FloatArray:
    """What the outline's own doubt does to both widths, (2,)."""
    middle = points_px.mean(axis=0)
    apart = points_px - middle
    radius = np.linalg.norm(apart, axis=1, keepdims=True)
    common = _widths_of(middle + apart * (1 + outline.u_edge_px / radius), card, height) - best
    if not isinstance(outline.ellipse, EllipseFit):
        return common
    mm_per_px = best / (2 * np.array([outline.ellipse.semi_major_px, outline.ellipse.semi_minor_px]))
    scatter = 2 * np.sqrt(np.diag(outline.ellipse.covariance)[2:4]) * mm_per_px
    return np.asarray(np.hypot(common, scatter))
