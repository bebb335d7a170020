"""The camera of another photo, looked through from the pixels of a close-up."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from grader.outline.eye import CardEye, FarEye


@dataclass(frozen=True, slots=True, eq=False)
class MovedEye:
    """A close-up that was laid over a photo of the whole piece: its pixels see what those of the whole see."""

    whole: CardEye | FarEye
    """The camera of the whole."""
    to_whole: FloatArray
    """(2, 3) affine map from px of the close-up to px of the whole."""

    def rays(self, points_px: PointsPx) -> tuple[FloatArray, FloatArray]:
        """Origins and unit directions, both (N, 3), of the viewing rays through pixels (N, 2) of the close-up."""
        return self.whole.rays(move_points(points_px, self.to_whole))

    def project(self, points: PointsMm) -> PointsPx:
        """Pixels (N, 2) of the close-up that show points (N, 3)."""
        return move_points(self.whole.project(points), inverse_of(self.to_whole))

    def project_along(self, points: PointsMm, directions: FloatArray) -> FloatArray:
        """Px that each point (N, 3) moves for a unit of length along `directions` (N, 3), shape (N, 2)."""
        return np.asarray(self.whole.project_along(points, directions) @ np.linalg.inv(self.to_whole[:, :2]).T)


def move_points(points_px: PointsPx, affine: FloatArray) -> PointsPx:
    """Points (N, 2) after an affine map (2, 3)."""
    return np.asarray(np.atleast_2d(points_px) @ affine[:, :2].T + affine[:, 2])


def inverse_of(affine: FloatArray) -> FloatArray:
    """The affine map (2, 3) that undoes another."""
    turn = np.linalg.inv(affine[:, :2])
    return np.column_stack([turn, -turn @ affine[:, 2]])
