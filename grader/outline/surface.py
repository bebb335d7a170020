"""The glass surface that an outline stands for: an ellipsoid on the card, its widest ring at a known height.

What the camera sees as the outline is not the widest ring but where its rays graze the glass, a little higher and
(in the picture) a little wider. So the ring's axes are those for which every ray of the outline is a tangent.
"""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.card_fit import CardFit
from grader.outline.constants import SURFACE_RAYS, SURFACE_STEPS
from grader.outline.dome_view import DomeOutline, NoCard, polygon_centre
from grader.outline.eye import CardEye, Eye, FarEye
from grader.outline.height import FromSides, HeightKnowledge, RingHeight, UsualShape
from grader.outline.hull_width import hull_widths
from grader.outline.moved_eye import MovedEye
from grader.outline.side_view import is_side_view
from grader.outline.usual_fit import piece_of_contour, place_of_contour

_NUDGE = 1e-7  # Source: square root of the double's precision, rounded up.


@dataclass(frozen=True, slots=True, eq=False)
class SurfacePoints:
    """Points on the glass, one a pixel."""

    points_mm: PointsMm
    """(N, 3), card frame (without a card: in widths of the piece)."""
    normals: FloatArray
    """(N, 3) outward unit normals."""
    facing: FloatArray
    """(N,) cosine between normal and the direction to the camera, 0 at the rim to 1."""
    inside: npt.NDArray[np.bool_]
    """(N,) whether the pixel lies within the outline."""


@dataclass(frozen=True, slots=True, eq=False)
class DomeSurface:
    """An ellipsoid that stands on the card: |shape (X - centre)| = 1."""

    centre_mm: FloatArray
    """(3,) middle of the widest ring."""
    shape: FloatArray
    """(3, 3) matrix that makes the ellipsoid a unit sphere; the vertical axis stands alone."""
    eye: Eye | MovedEye
    """The camera."""
    contour_px: PointsPx
    """(N, 2) the outline."""
    ring: RingHeight
    """Heights that were taken, and whence."""
    is_metric: bool
    """Whether lengths are mm; otherwise the largest width is 1."""

    @property
    def apex_mm(self) -> FloatArray:
        """(3,) top of the dome."""
        return np.asarray(self.centre_mm + np.array([0, 0, 1 / self.shape[2, 2]]))

    @property
    def mean_radius_mm(self) -> float:
        """Radius of the circle of the widest ring's area."""
        return float(1 / math.sqrt(np.linalg.det(self.shape[:2, :2])))

    def locate(self, points_px: PointsPx) -> SurfacePoints:
        """Points of the glass that pixels show.

        Pixels outside the outline get the point of the surface that their ray comes closest to.

        Parameters
        ----------
        points_px : ndarray of shape (N, 2)
        """
        points_px = np.atleast_2d(np.asarray(points_px, dtype=np.float64))
        origins, directions = self.eye.rays(points_px)
        points, normals = meet_dome(origins, directions, self.centre_mm, self.shape)
        facing = np.clip(-(normals * directions).sum(axis=1), 0.0, 1.0)
        return SurfacePoints(points, normals, facing, self.is_inside(points_px))

    def is_inside(self, points_px: PointsPx) -> npt.NDArray[np.bool_]:
        """Whether pixels (N, 2) lie within the outline, (N,)."""
        middle = self.contour_px.mean(axis=0)
        apart, rim = points_px - middle, self.contour_px - middle
        turn = np.arctan2(rim[:, 1], rim[:, 0])
        order = np.argsort(turn, kind='stable')
        reach = np.interp(
            np.arctan2(apart[:, 1], apart[:, 0]),
            turn[order],
            np.linalg.norm(rim, axis=1)[order],
            period=2 * np.pi,
        )
        return np.asarray(np.linalg.norm(apart, axis=1) <= reach)

    def radius_ratio(self, points_px: PointsPx) -> FloatArray:
        """How far from the middle (0) to the widest ring (1) the glass under pixels lies, seen from above, (N,)."""
        flat = (self.locate(points_px).points_mm - self.centre_mm)[:, :2] @ self.shape[:2, :2].T
        return np.asarray(np.clip(np.linalg.norm(flat, axis=1), 0.0, 1.0))

    def clock_h(self, points_px: PointsPx) -> FloatArray:
        """Clock position of pixels about the top of the dome seen from above, 0 <= h < 12, 12 o'clock = +y, (N,)."""
        apart = self.locate(points_px).points_mm[:, :2] - self.centre_mm[:2]
        hours = np.degrees(np.arctan2(apart[:, 0], apart[:, 1])) / 30 % 12
        return np.asarray(np.where(hours < 12, hours, 0.0))  # -1e-16 % 12 is 12


def meet_dome(
    origins: FloatArray, directions: FloatArray, centre: FloatArray, shape: FloatArray
) -> tuple[PointsMm, FloatArray]:
    """Where rays meet the ellipsoid |shape (X - centre)| = 1 first, and its outward unit normals there, both (N, 3).

    A ray that misses it gets the point that it comes closest to.

    Parameters
    ----------
    origins : ndarray of shape (N, 3) or (3,)
        One a ray, or one for all.
    directions : ndarray of shape (N, 3)
    """
    start, along = (origins - centre) @ shape.T, directions @ shape.T
    square = (along**2).sum(axis=1)
    half = (start * along).sum(axis=1)
    under = np.maximum(half**2 - square * ((start**2).sum(axis=-1) - 1), 0.0)
    unit = start + ((-half - np.sqrt(under)) / square)[:, None] * along
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    normals = unit @ shape
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return unit @ np.linalg.inv(shape).T + centre, normals


def equator_of(origins: FloatArray, directions: FloatArray, centre: FloatArray, shape: FloatArray) -> PointsMm:
    """The widest ring seen from straight above, one point (N, 2) a ray of the outline.

    Each point is that of the dome, grown or shrunk about its middle until this ray grazes it; for rays that graze
    the dome itself it lies on the dome's own ring.
    """
    start, along = (origins - centre) @ shape.T, directions @ shape.T
    back = (start * along).sum(axis=1) / (along**2).sum(axis=1)
    nearest = start - back[:, None] * along
    flat = nearest[:, :2] / np.linalg.norm(nearest[:, :2], axis=1, keepdims=True)
    ring = flat * np.linalg.norm(nearest, axis=1, keepdims=True)
    return np.asarray(ring @ np.linalg.inv(shape[:2, :2]).T + centre[:2])


def fit_surface(outline: DomeOutline, card: CardFit | NoCard, height: HeightKnowledge) -> DomeSurface:
    """The dome whose silhouette is `outline` and whose heights are those of `height`.

    Parameters
    ----------
    outline : DomeOutline
    card : CardFit or NoCard
        Without a card the camera is taken to be far above, and lengths are shares of the largest width.
    height : HeightKnowledge
        From the side the photo shows the heights itself; all side photos together (`FromSides`) know them better.
    """
    if isinstance(card, NoCard):
        x_px, y_px = (float(v) for v in outline.centre_px)
        eye: Eye = FarEye((x_px, y_px), hull_widths(outline.contour_px).largest)
        height = height if isinstance(height, UsualShape) else UsualShape()
    else:
        eye = CardEye(card)
        if is_side_view(card):
            return _standing_surface(outline, card, eye, height)
    every = max(len(outline.contour_px) // SURFACE_RAYS, 1)
    origins, directions = eye.rays(outline.contour_px[::every])
    centre, shape, ring = tangent_dome(origins, directions, height)
    return DomeSurface(centre, shape, eye, outline.contour_px, ring, isinstance(eye, CardEye))


def _standing_surface(outline: DomeOutline, card: CardFit, eye: Eye, height: HeightKnowledge) -> DomeSurface:
    """The dome that a photo from the side shows, of the form that all side photos tell together if it is known."""
    if isinstance(height, FromSides):
        piece, ring = place_of_contour(card, outline.contour_px, height.piece), height.ring_height(0.0)
    else:
        fit = piece_of_contour(card, outline.contour_px)
        piece = fit.piece
        ring = RingHeight(piece.ring_mm, fit.u_of(lambda one: one.ring_mm), piece.rise_mm, "photo from the side")
    shape = np.zeros((3, 3))
    shape[:2, :2] = piece.flatten() / piece.radius_mm
    shape[2, 2] = 1 / piece.rise_mm
    centre = np.array([piece.x_mm, piece.y_mm, piece.ring_mm])
    return DomeSurface(centre, shape, eye, outline.contour_px, ring, True)


def tangent_dome(
    origins: FloatArray, directions: FloatArray, height: HeightKnowledge
) -> tuple[FloatArray, FloatArray, RingHeight]:
    """The ellipsoid that rays graze, in the least-squares sense.

    Gauss-Newton on the middle of the ring and the three numbers of its horizontal shape; the heights follow from
    `height` for the width at hand. A ray grazes when it passes the unit sphere's middle at distance 1.

    Parameters
    ----------
    origins, directions : ndarray of shape (N, 3)
        Rays of a closed outline.
    height : HeightKnowledge

    Returns
    -------
    centre : ndarray of shape (3,)
    shape : ndarray of shape (3, 3)
    ring : RingHeight
    """
    start = _start(origins, directions, height)
    values = np.zeros(5)
    for _ in range(SURFACE_STEPS):
        left = _grazing(start.dome(values, height), origins, directions)
        jacobian = np.empty((len(left), 5))
        for k in range(5):
            nudged = values.copy()
            nudged[k] += _NUDGE
            jacobian[:, k] = (_grazing(start.dome(nudged, height), origins, directions) - left) / _NUDGE
        step = np.linalg.lstsq(jacobian, -left, rcond=None)[0]
        values = values + step
        if np.abs(step).max() < _NUDGE:
            break
    return start.dome(values, height)


@dataclass(frozen=True, slots=True, eq=False)
class _Start:
    """A circle to start from; what is sought are small numbers relative to it."""

    middle: FloatArray
    """(2,)"""
    radius: float

    def dome(self, values: FloatArray, height: HeightKnowledge) -> tuple[FloatArray, FloatArray, RingHeight]:
        """Centre, shape matrix and heights for the five numbers (shift x, y; stretch xx, xy, yy)."""
        flat = (np.eye(2) + np.array([[values[2], values[3]], [values[3], values[4]]])) / self.radius
        width = 2 / math.sqrt(max(float(np.linalg.det(flat)), 1e-12))
        ring = height.ring_height(width)
        shape = np.zeros((3, 3))
        shape[:2, :2] = flat
        shape[2, 2] = 1 / ring.rise_mm
        middle = self.middle + values[:2] * self.radius
        return np.array([middle[0], middle[1], ring.ring_mm]), shape, ring


def _start(origins: FloatArray, directions: FloatArray, height: HeightKnowledge) -> _Start:
    """Circle of the outline on the plane of the widest ring, found in a few rounds."""
    level, middle, radius = 0.0, np.zeros(2), 1.0
    for _ in range(3):
        along = (level - origins[:, 2]) / directions[:, 2]
        flat = origins[:, :2] + along[:, None] * directions[:, :2]
        middle = polygon_centre(flat)
        radius = float(np.linalg.norm(flat - middle, axis=1).mean())
        level = height.ring_height(2 * radius).ring_mm
    return _Start(middle, radius)


def _grazing(
    dome: tuple[FloatArray, FloatArray, RingHeight], origins: FloatArray, directions: FloatArray
) -> FloatArray:
    """How far each ray passes outside (positive) or inside the ellipsoid, in half-axes, (N,)."""
    centre, shape, _ = dome
    start, along = (origins - centre) @ shape.T, directions @ shape.T
    across = np.linalg.norm(np.cross(start, along), axis=1)
    return np.asarray(across / np.linalg.norm(along, axis=1) - 1)
