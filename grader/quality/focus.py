"""How sharp a photo is: the spread of light across edges that are sharp by themselves."""

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, Mask, PointsPx
from calib.card_fit import CardFit
from calib.constants import MAD_TO_SD
from grader.outline.dome_view import NoCard
from grader.quality.card_edges import card_edges
from grader.quality.constants import (
    EDGE_MISFIT_RATIO,
    EDGE_PLACES,
    EDGE_STEP_LEAST,
    GLASS_MISFIT_RATIO,
    GLASS_STEP_LEAST,
    LEAST_EDGES,
    PLACE_LENGTH_PX,
    PLAIN_SPREADS,
    SHARP_QUANTILE,
    SPREAD_RANGE_PX,
)
from grader.quality.picture_edges import steepest_edges
from grader.quality.step_fit import edge_spreads

_ROBUST_ROUNDS = 3
_SLANT_WEIGHT = 0.01  # Source: edges slanted by 4 degrees, as card edges mostly are, count as much


@dataclass(frozen=True, slots=True)
class Focus:
    """Spread of light across sharp edges: standard deviations of a Gaussian, a pixel's own square included."""

    source: Literal['card', 'glass', 'none']
    """Which edges told it: those printed on the card; the sharpest of the piece itself; or none that could be read."""
    blur_px: float | None
    """Spread, the mean over all directions; None where no edge could be read."""
    most_px: float | None
    """Spread in the direction in which it is largest; None where directions cannot be told apart."""
    least_px: float | None
    """Spread in the direction in which it is smallest."""
    glass_px: float | None
    """Spread across the sharpest edges on the piece; its own edges may be soft, so the lens is at least so sharp."""
    n_edges: int
    """Edges that `blur_px` rests on."""


def measure_focus(linear: GreyImage, card: CardFit | NoCard, contour_px: PointsPx) -> Focus:
    """Sharpness of a photo, from the card's printed edges, else from the sharpest edges of piece and rim.

    Parameters
    ----------
    linear : ndarray of shape (H, W)
        Linear light.
    card : CardFit or NoCard
    contour_px : ndarray of shape (N, 2)
        The piece's outline.
    """
    glass_px, n_glass = _glass_spread(linear, contour_px)
    if not isinstance(card, NoCard):
        edges = card_edges(card)
        spreads = edge_spreads(linear, edges, EDGE_PLACES, EDGE_STEP_LEAST, EDGE_MISFIT_RATIO)
        good = np.isfinite(spreads)
        wide = good & (edges.reach_px.min(axis=1) >= PLAIN_SPREADS * np.median(spreads[good])) if good.any() else good
        good = wide if np.count_nonzero(wide) >= LEAST_EDGES else good
        if np.count_nonzero(good) >= LEAST_EDGES:
            most, least, n_kept = blur_axes(spreads[good], edges.normals[good])
            return Focus('card', float(np.sqrt((most**2 + least**2) / 2)), most, least, glass_px, n_kept)
    if glass_px is None:
        return Focus('none', None, None, None, None, 0)
    return Focus('glass', glass_px, None, None, glass_px, n_glass)


def blur_axes(spreads_px: FloatArray, normals: FloatArray) -> tuple[float, float, int]:
    """Largest and smallest spread over all directions, from edges of different directions, and how many edges agreed.

    The square of the spread across an edge with the normal n is n' S n for one symmetric matrix S, whose eigenvalues
    are the squares sought. Edges far off are dropped.

    Parameters
    ----------
    spreads_px : ndarray of shape (E,)
    normals : ndarray of shape (E, 2)
    """
    x, y = normals.T
    columns = np.column_stack([x * x, 2 * x * y, y * y])
    square = spreads_px**2
    kept = np.ones(len(square), dtype=bool)
    values = np.zeros(3)
    # Edges of two square directions say nothing of the slant of the blur, which is then taken for none.
    upright = np.diag([0.0, _SLANT_WEIGHT, 0.0])
    for _ in range(_ROBUST_ROUNDS):
        some = columns[kept]
        values = np.linalg.solve(some.T @ some / len(some) + upright, some.T @ square[kept] / len(some))
        off = np.abs(square - columns @ values)
        kept = off <= np.maximum(3 * MAD_TO_SD * np.median(off), 1e-6)
    eigen = np.linalg.eigvalsh(np.array([[values[0], values[1]], [values[1], values[2]]]))
    least, most = np.sqrt(np.clip(eigen, SPREAD_RANGE_PX[0] ** 2, None))
    return float(most), float(least), int(np.count_nonzero(kept))


def _glass_spread(linear: GreyImage, contour_px: PointsPx) -> tuple[float | None, int]:
    """Spread across the sharpest edges on the piece and its rim, and how many edges were read."""
    height, width = linear.shape
    margin = PLACE_LENGTH_PX
    x0, y0 = np.clip(np.floor(contour_px.min(axis=0) - margin), 0, (width - 1, height - 1)).astype(int)
    x1, y1 = np.clip(np.ceil(contour_px.max(axis=0) + margin + 1), (x0 + 1, y0 + 1), (width, height)).astype(int)
    part = np.ascontiguousarray(linear[y0:y1, x0:x1])
    edges = steepest_edges(part, _grown(contour_px - (x0, y0), part.shape))
    spreads = edge_spreads(part, edges, int(PLACE_LENGTH_PX), GLASS_STEP_LEAST, GLASS_MISFIT_RATIO)
    good = spreads[np.isfinite(spreads)]
    if len(good) < LEAST_EDGES:
        return None, len(good)
    return float(np.quantile(good, SHARP_QUANTILE)), len(good)


def _grown(contour_px: PointsPx, shape: tuple[int, ...]) -> Mask:
    """(h, w) bool: the piece and its rim."""
    mask = np.zeros(shape, np.uint8)
    cv2.fillPoly(mask, [np.rint(contour_px).astype(np.int32)], 1)
    cv2.polylines(mask, [np.rint(contour_px).astype(np.int32)], True, 1, thickness=5)
    return mask > 0
