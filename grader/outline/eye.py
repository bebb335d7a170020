"""How points on the glass and pixels belong together, with or without a card."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.card_fit import CardFit


@dataclass(frozen=True, slots=True, eq=False)
class CardEye:
    """The camera over a card: rays meet in one point, lengths are mm in the card frame."""

    card: CardFit
    """The card's fit."""

    def rays(self, points_px: PointsPx) -> tuple[FloatArray, FloatArray]:
        """Origins and unit directions, both (N, 3), of the viewing rays through pixels (N, 2)."""
        origin, directions = self.card.rays_mm(points_px)
        return np.broadcast_to(origin, directions.shape), directions

    def project(self, points: PointsMm) -> PointsPx:
        """Pixels (N, 2) of points (N, 3)."""
        return self.card.project_mm(points)

    def project_along(self, points: PointsMm, directions: FloatArray) -> FloatArray:
        """Px that each point (N, 3) moves for a unit of length along `directions` (N, 3), shape (N, 2)."""
        step = 0.01
        return (self.project(points + step * directions) - self.project(points - step * directions)) / (2 * step)


@dataclass(frozen=True, slots=True, eq=False)
class FarEye:
    """A camera of unknown distance straight above: rays are parallel, the piece's largest width is 1."""

    centre_px: tuple[float, float]
    """Middle of the piece."""
    px_per_width: float
    """Px of the largest width."""

    def rays(self, points_px: PointsPx) -> tuple[FloatArray, FloatArray]:
        """Origins, far above, and unit directions, both (N, 3)."""
        flat = (np.atleast_2d(points_px) - self.centre_px) / self.px_per_width * (1, -1)
        origins = np.column_stack([flat, np.full(len(flat), 10.0)])
        return origins, np.broadcast_to(np.array([0.0, 0.0, -1.0]), origins.shape)

    def project(self, points: PointsMm) -> PointsPx:
        """Pixels (N, 2) of points (N, 3)."""
        return np.asarray(points[:, :2] * (self.px_per_width, -self.px_per_width) + self.centre_px)

    def project_along(self, points: PointsMm, directions: FloatArray) -> FloatArray:
        """Px that each point moves for a unit of length along `directions` (N, 3), shape (N, 2)."""
        return np.asarray(directions[:, :2] * (self.px_per_width, -self.px_per_width))


Eye: TypeAlias = CardEye | FarEye
