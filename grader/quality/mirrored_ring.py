"""Where ring lights stand, as the glass mirrors them: the tilt of the glass that throws their light into the lens.

A dome mirrors a ring that is centred on the lens where its surface is tilted against the view by half the angle that
the ring spans, whatever the dome's shape. So the piece is drawn anew with the tilt of its surface as the radius, and
such rings are circles in that picture. For a ring straight above, seen from the side, the tilt is counted from half
way between the view and straight up.
"""

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsMm
from grader.marks.unseen import RING, UnseenArea
from grader.marks.unseen_ring import find_rings
from grader.marks.unseen_shapes import PiecePicture
from grader.outline.surface import DomeSurface
from grader.quality.light_constants import RING_GRID_PX

_AXIS_ROUNDS = 4  # Source: each brings the point that faces the camera nearer by the ratio of size and distance


def tilts_of_known(surface: DomeSurface, unseen: Sequence[UnseenArea]) -> tuple[float, ...]:
    """Tilt of the glass against the view, in degrees, in each mirror image of a ring that was found before.

    Parameters
    ----------
    surface : DomeSurface
    unseen : sequence of UnseenArea
    """
    known = sorted((area for area in unseen if area.reason == RING), key=lambda area: -area.area_ratio)
    facings = [float(np.median(surface.locate(area.polygon_px).facing)) for area in known]
    return tuple(float(np.degrees(np.arccos(facing))) for facing in facings)


def tilts_of_rings(picture: PiecePicture, surface: DomeSurface, axis: FloatArray, span_deg: float) -> tuple[float, ...]:
    """Tilt of the glass against an axis, in degrees, in the middle of each ring's mirror image; the clearest first.

    Parameters
    ----------
    picture : PiecePicture
        The piece, reduced.
    surface : DomeSurface
    axis : ndarray of shape (3,)
        Unit vector along which the glass faces what is looked for, see `facing_axis` and `overhead_axis`.
    span_deg : float
        Largest tilt up to which rings are looked for.
    """
    middle = (RING_GRID_PX - 1) / 2
    turn = np.arange(180) * (2 * np.pi / 180)
    circle = middle + middle * np.column_stack([np.cos(turn), np.sin(turn)])
    rings = find_rings(tilt_picture(picture, surface, axis, span_deg), circle, np.array([middle, middle]))
    return tuple(float(ring.inner_ratio + ring.outer_ratio) / 2 * span_deg for ring in rings)


def tilt_picture(picture: PiecePicture, surface: DomeSurface, axis: FloatArray, span_deg: float) -> PiecePicture:
    """The piece with its surface's tilt against an axis as the radius.

    Parameters
    ----------
    picture : PiecePicture
    surface : DomeSurface
    axis : ndarray of shape (3,)
        Unit vector.
    span_deg : float
        Tilt at the sides of the picture.
    """
    across = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    across /= np.linalg.norm(across)
    down = np.cross(axis, across)
    along = np.linspace(-1, 1, RING_GRID_PX)
    x, y = np.meshgrid(along, along)
    radius = np.hypot(x, y)
    tilt = np.radians(span_deg) * np.minimum(radius, 1)
    flat = (x[..., None] * across + y[..., None] * down) / np.maximum(radius, 1e-9)[..., None]
    normals = np.cos(tilt)[..., None] * axis + np.sin(tilt)[..., None] * flat
    places_px = surface.eye.project(point_with_normal(surface, normals.reshape(-1, 3)))
    places = picture.from_photo(places_px).reshape(RING_GRID_PX, RING_GRID_PX, 2).astype(np.float32)
    rgb = cv2.remap(picture.rgb, places[..., 0], places[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return replace(picture, rgb=np.asarray(rgb, np.uint8), inside=(radius <= 1).astype(np.uint8))


def facing_axis(surface: DomeSurface) -> FloatArray:
    """Unit vector (3,) from the place of the dome that faces the camera to the camera."""
    _, directions = surface.eye.rays(surface.contour_px.mean(axis=0)[None])
    axis = -directions[0]
    for _ in range(_AXIS_ROUNDS):
        _, directions = surface.eye.rays(surface.eye.project(point_with_normal(surface, axis[None])))
        axis = -directions[0]
    return np.asarray(axis / np.linalg.norm(axis))


def overhead_axis(surface: DomeSurface) -> FloatArray:
    """Unit vector (3,) along which glass faces that mirrors what stands straight above: half way to the camera."""
    between = facing_axis(surface) + np.array([0.0, 0.0, 1.0])
    return np.asarray(between / np.linalg.norm(between))


def point_with_normal(surface: DomeSurface, normals: FloatArray) -> PointsMm:
    """Points (N, 3) of the whole ellipsoid whose outward normals are those given, (N, 3)."""
    unit = normals @ np.linalg.inv(surface.shape)
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    return np.asarray(unit @ np.linalg.inv(surface.shape).T + surface.centre_mm)
