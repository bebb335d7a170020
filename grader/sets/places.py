"""Places on a piece, whatever photo shows them: unit directions on the dome, stretched to a sphere."""

import math

import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.outline.surface import DomeSurface


def places_of(surface: DomeSurface, points_px: PointsPx) -> FloatArray:
    """Places (N, 3) of the glass that pixels (N, 2) show: unit vectors, z up, x and y as on the card."""
    points_px = np.atleast_2d(np.asarray(points_px, dtype=np.float64))
    units = (surface.locate(points_px).points_mm - surface.centre_mm) @ surface.shape.T
    return np.asarray(units / np.linalg.norm(units, axis=1, keepdims=True))


def pixels_of(surface: DomeSurface, places: FloatArray) -> tuple[PointsPx, FloatArray]:
    """Pixels (N, 2) of places (N, 3), and how much the glass there faces the camera, (N,).

    Facing is the cosine between the glass and the direction to the camera; at most 0 where the photo does not show the
    place, be it turned away or under the foot.
    """
    points_mm = places @ np.linalg.inv(surface.shape).T + surface.centre_mm
    points_px = surface.eye.project(points_mm)
    _, directions = surface.eye.rays(points_px)
    normals = places @ surface.shape
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    facing = -(normals * directions).sum(axis=1)
    return points_px, np.where(points_mm[:, 2] > 0, facing, np.minimum(facing, 0.0))


def turned(places: FloatArray, turn_rad: float) -> FloatArray:
    """Places (N, 3) after the piece was turned about its axis, from +x to +y."""
    c, s = math.cos(turn_rad), math.sin(turn_rad)
    return np.asarray(places @ np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]))


def apart_rad(places: FloatArray, place: FloatArray) -> FloatArray:
    """Angles between places (N, 3) and one place (3,), or as many (N, 3); well-behaved near 0, (N,)."""
    return np.asarray(2 * np.arcsin(np.clip(np.linalg.norm(places - place, axis=-1) / 2, 0.0, 1.0)))


def clock_of(place: FloatArray) -> float:
    """Clock position of a place (3,) seen from above, 0 <= h < 12, 12 o'clock = +y."""
    hours = math.degrees(math.atan2(place[0], place[1])) / 30 % 12
    return hours if hours < 12 else 0.0


def latitude_deg(place: FloatArray) -> float:
    """Height of a place (3,) on the dome: 90 at its top, 0 on its widest ring, below that negative."""
    return math.degrees(math.asin(min(max(float(place[2]), -1.0), 1.0)))
