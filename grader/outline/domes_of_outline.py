"""All domes that one outline may stand for, by their heights, quickly."""

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.card_fit import CardFit
from grader.outline.constants import DOME_NODES_RING, DOME_NODES_RISE, SURFACE_RAYS
from grader.outline.height import SeenHeight
from grader.outline.surface import tangent_dome


class DomesOfOutline:
    """Domes fitted at a few heights, quadratics between them (which agree with a fit to some um)."""

    def __init__(self, contour_px: PointsPx, card: CardFit) -> None:
        """Fit the nodes.

        Parameters
        ----------
        contour_px : ndarray of shape (N, 2)
        card : CardFit
        """
        points = contour_px[:: max(len(contour_px) // SURFACE_RAYS, 1)]
        flat = card.to_plane_mm(points)
        width = float(2 * np.linalg.norm(flat - flat.mean(axis=0), axis=1).mean())
        origin, directions = card.rays_mm(points)
        origins = np.broadcast_to(origin, directions.shape)
        self._rings = np.array(DOME_NODES_RING) * width
        self._rises = np.array(DOME_NODES_RISE) * width
        self._nodes = np.array(
            [[_numbers(origins, directions, ring, rise) for rise in self._rises] for ring in self._rings]
        )

    @property
    def flat_width_mm(self) -> float:
        """Mean width of the outline taken down to the card."""
        return float(self._rings[0] / DOME_NODES_RING[0])

    def at(self, ring_mm: float, rise_mm: float) -> tuple[FloatArray, FloatArray]:
        """Middle (3,) of the widest ring and shape matrix (3, 3) of the dome with these heights."""
        by_ring, by_rise = _lagrange(self._rings, ring_mm), _lagrange(self._rises, rise_mm)
        x, y, xx, xy, yy = np.einsum('i,j,ijk->k', by_ring, by_rise, self._nodes)
        shape = np.array([[xx, xy, 0.0], [xy, yy, 0.0], [0.0, 0.0, 1 / rise_mm]])
        return np.array([x, y, ring_mm]), shape


def _numbers(origins: FloatArray, directions: FloatArray, ring_mm: float, rise_mm: float) -> FloatArray:
    """Middle (x, y) and the three numbers of the horizontal shape of one fitted dome, (5,)."""
    centre, shape, _ = tangent_dome(origins, directions, SeenHeight(ring_mm, 0.0, rise_mm, 'node'))
    return np.array([centre[0], centre[1], shape[0, 0], shape[0, 1], shape[1, 1]])


def _lagrange(nodes: FloatArray, value: float) -> FloatArray:
    """Weights (3,) of three nodes for the quadratic through them."""
    a, b, c = nodes
    return np.array(
        [
            (value - b) * (value - c) / ((a - b) * (a - c)),
            (value - a) * (value - c) / ((b - a) * (b - c)),
            (value - a) * (value - b) / ((c - a) * (c - b)),
        ]
    )
