"""A piece of glass that stands on the card, seen from any side: a body of revolution cut off by the card and, where
it is flat on top, by a second plane. Its silhouette follows exactly.
"""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.card_fit import CardFit
from grader.outline.constants import (
    RING_OF_RISE_RATIO,
    ROUGH_DIRECTIONS,
    SHAPE_KINDS,
    SIDE_RADIUS_MM,
    SIDE_RISE_RATIO,
    SIDE_STARTS,
    SILHOUETTE_POINTS,
)
from grader.outline.ground import to_scale


@dataclass(frozen=True, slots=True)
class TurnedPiece:
    """Two half ellipsoids that share their widest ring, the upper one cut off flat at most times not at all."""

    x_mm: float
    """Middle of the foot, card frame."""
    y_mm: float
    """Middle of the foot, card frame."""
    radius_mm: float
    """Of the widest ring (mean of both half-axes where it is no circle)."""
    ring_mm: float
    """Height of the widest ring above the card."""
    rise_mm: float
    """Upper half-axis: from the ring to the top of the uncut upper half."""
    drop_mm: float
    """Lower half-axis."""
    cut_ratio: float = 1.0
    """Height of the flat on top as a share of the uncut height; 1 where there is none."""
    stretch_x: float = 0.0
    """Ellipse of the ring: half-axes grow by (1 + s) along the direction of angle atan2(y, x) / 2 and shrink across."""
    stretch_y: float = 0.0
    """See `stretch_x`; s = hypot(x, y)."""

    @property
    def height_mm(self) -> float:
        """From the card to the top."""
        return self.cut_ratio * (self.ring_mm + self.rise_mm)

    @property
    def base_radius_mm(self) -> float:
        """Radius of the foot on the card."""
        return float(self.profile(np.zeros(1))[0][0])

    @property
    def largest_width_mm(self) -> float:
        """Largest width of the widest ring."""
        return 2 * self.radius_mm * (1 + math.hypot(self.stretch_x, self.stretch_y))

    def profile(self, heights_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Radius and its slope over the height at heights (N,) above the card, both (N,)."""
        axis = np.where(heights_mm >= self.ring_mm, self.rise_mm, self.drop_mm)
        share = np.clip((heights_mm - self.ring_mm) / axis, -1, 1)
        root = np.sqrt(np.maximum(1 - share**2, 1e-12))
        return self.radius_mm * root, -self.radius_mm * share / (axis * root)

    def moved_to(self, x_mm: float, y_mm: float) -> 'TurnedPiece':
        """The same piece elsewhere on the card."""
        return replace(self, x_mm=x_mm, y_mm=y_mm)

    def silhouette(self, card: CardFit, scale: float = 1.0) -> PointsPx:
        """Convex hull (N, 2) of what the camera sees of it, in px of the photo reduced by `scale`."""
        flatten = self.flatten()
        eye = np.append(flatten @ (card.camera_position_mm[:2] - (self.x_mm, self.y_mm)), card.camera_position_mm[2])
        points = self._grazed(eye)
        points[:, :2] = points[:, :2] @ np.linalg.inv(flatten).T + (self.x_mm, self.y_mm)
        found = to_scale(card.project_mm(points), scale)
        return np.asarray(found[cv2.convexHull(found.astype(np.float32), returnPoints=False)[:, 0]])

    def flatten(self) -> FloatArray:
        """(2, 2) matrix that makes the ring a circle of `radius_mm`."""
        return np.linalg.inv(
            np.eye(2) + np.array([[self.stretch_x, self.stretch_y], [self.stretch_y, -self.stretch_x]])
        )

    def _grazed(self, eye: PointsMm) -> PointsMm:
        """Points (N, 3) that sight lines from `eye` (3,) graze, with the rims of foot and flat; circle frame.

        A unit sphere at the origin is grazed in a circle: the section with the polar plane of the eye. Each half of the
        body is a sphere in its own measure.
        """
        turn = np.arange(SILHOUETTE_POINTS) * 2 * np.pi / SILHOUETTE_POINTS
        low, high = max(self.ring_mm - self.drop_mm, 0.0), self.height_mm
        parts = []
        for axis, sign in ((self.rise_mm, 1), (self.drop_mm, -1)):
            measure = np.array([self.radius_mm, self.radius_mm, axis])
            points = _polar_circle((eye - (0, 0, self.ring_mm)) / measure, turn) * measure + (0, 0, self.ring_mm)
            height = points[:, 2]
            parts.append(points[(sign * (height - self.ring_mm) >= 0) & (height >= low) & (height <= high)])
        radii, _ = self.profile(np.array([low, high]))
        for radius, height in zip(radii, (low, high), strict=True):
            parts.append(np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(len(turn), height)]))
        return np.vstack(parts)


def _polar_circle(eye: FloatArray, turn: FloatArray) -> PointsMm:
    """Points (N, 3) of the unit sphere that sight lines from a point outside graze."""
    distance = float(np.linalg.norm(eye))
    across = np.linalg.svd(eye[None])[2][1:]
    circle = np.outer(np.cos(turn), across[0]) + np.outer(np.sin(turn), across[1])
    return np.asarray(math.sqrt(max(1 - distance**-2, 0.0)) * circle + eye / distance**2)


def usual_piece(radius_mm: float, rise_ratio: float, drop_ratio: float = 1.0) -> TurnedPiece:
    """A piece of usual foot in the middle of the card.

    Its upper half-axis is the first share of its radius, its lower one the second share of the upper one.
    """
    rise = rise_ratio * radius_mm
    drop = drop_ratio * rise
    return TurnedPiece(0.0, 0.0, radius_mm, RING_OF_RISE_RATIO * drop, rise, drop)


USUAL_PIECE = usual_piece(SIDE_RADIUS_MM[0], SIDE_RISE_RATIO)
"""The piece that is usual in every way."""
USUAL_EGG = usual_piece(SIDE_RADIUS_MM[0], SHAPE_KINDS[1][1], 0.8)
"""An upright egg that is usual in every way."""
STARTS = tuple(usual_piece(*start) for start in SIDE_STARTS)
"""The pieces that are looked for first."""


def even_turns(n: int = ROUGH_DIRECTIONS) -> FloatArray:
    """Unit vectors (n, 2) from +x to +y."""
    turn = np.arange(n) * 2 * np.pi / n
    return np.column_stack([np.cos(turn), np.sin(turn)])


def radii_about(centre_px: FloatArray, polygon_px: PointsPx, n: int = ROUGH_DIRECTIONS) -> FloatArray:
    """Radii (n,) at which rays from a point inside meet a convex polygon, from +x to +y; NaN if it is outside."""
    start = polygon_px - centre_px
    turn = np.arctan2(start[:, 1], start[:, 0])
    order = np.argsort(turn, kind='stable')
    start, turn = start[order], turn[order]
    out = even_turns(n)
    # Each ray meets the one side between the corners next to it: out * r = start + side * s.
    after = np.searchsorted(turn, np.arctan2(out[:, 1], out[:, 0])) % len(turn)
    first = start[after - 1]
    side = start[after] - first
    across = out[:, 0] * side[:, 1] - out[:, 1] * side[:, 0]
    reach = (first[:, 0] * side[:, 1] - first[:, 1] * side[:, 0]) / np.where(np.abs(across) < 1e-12, np.nan, across)
    return np.asarray(np.where(reach > 0, reach, np.nan))
