"""Marks of all photos, in the piece's own frame."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.marks.mark import Mark, MarkKind
from grader.marks.regions import LINE_KINDS
from grader.sets.constants import JOIN_POINTS, JOIN_SHARE
from grader.sets.find_turns import PhotoTurn
from grader.sets.places import places_of, turned
from grader.sets.refraction import rays_in_glass
from grader.sets.set_photo import SetPhoto, reach_px


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """A mark as one photo shows it, placed on the piece.

    The piece's frame is that of the main photo's card, about the middle of the widest ring, in radii of that ring.
    """

    photo: int
    """Number of the photo, from 0."""
    mark: Mark
    """The mark as found in that photo."""
    number: int
    """Its number among that photo's own marks, from 1."""
    outline: FloatArray
    """Places (N, 3) of some points of its outline, unit vectors."""
    place: FloatArray
    """Place (3,) of its middle."""
    entry: FloatArray
    """(3,) where the ray to its middle enters the glass, in radii."""
    ray: FloatArray
    """(3,) unit direction of that ray inside the glass."""

    @property
    def inside_odds(self) -> float:
        """Probability of a kind that lies inside the glass."""
        return self.mark.odds_of(MarkKind.BUBBLE) + self.mark.odds_of(MarkKind.BRUISE)

    @property
    def extent(self) -> float:
        """Largest extent along an axis of the piece's frame, in radii."""
        return float(np.ptp(self.outline, axis=0).max())

    @property
    def is_line(self) -> bool:
        """Whether it is of a kind that is measured along its middle."""
        return self.mark.kind in LINE_KINDS


def see_marks(photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> tuple[Sighting, ...]:
    """All marks of all photos in the piece's frame, the surest first."""
    found = [
        _sighting(k, photo, turn, mark, number)
        for k, (photo, turn) in enumerate(zip(photos, turns, strict=True))
        for number, mark in enumerate(photo.findings.marks, start=1)
    ]
    return tuple(sorted(found, key=lambda one: (-one.mark.confidence, one.photo, one.number)))


def to_photo(places: FloatArray, photo: SetPhoto, turn: PhotoTurn) -> tuple[PointsPx, FloatArray]:
    """Pixels (N, 2) of places (N, 3) of the piece's frame in a photo, and how well each is seen there, (N,)."""
    return photo.shows(turned(places, turn.turn_rad))


def joint_share(one: Sighting, other: Sighting, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> float:
    """The larger share of either mark that lies within reach of the other, in the photos of both, 0 to 1."""
    return max(_share_near(one, other, photos, turns), _share_near(other, one, photos, turns))


def is_near(one: Sighting, other: Sighting, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> bool:
    """Whether two marks of different photos lie at the same place of the surface."""
    return joint_share(one, other, photos, turns) >= JOIN_SHARE


def reach_of(photo: SetPhoto, turn: PhotoTurn) -> float:
    """How far apart, in px of a photo, two views of one mark may be: its own doubt and that of the turn."""
    radius_px = float(np.ptp(photo.surface.contour_px[:, 0])) / 2
    return math.hypot(reach_px(photo.findings), turn.u_turn_rad * radius_px)


def _share_near(one: Sighting, other: Sighting, photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> float:
    """Share of the first mark's outline that lies within reach of the second, in the second's photo."""
    photo, turn = photos[other.photo], turns[other.photo]
    points_px, visible = to_photo(one.outline, photo, turn)
    polygon = other.mark.outline_px.astype(np.float32).reshape(-1, 1, 2)
    reach = reach_of(photo, turn)
    inside = [
        seen > 0 and cv2.pointPolygonTest(polygon, (float(x), float(y)), True) >= -reach
        for (x, y), seen in zip(points_px, visible, strict=True)
    ]
    return float(np.mean(inside))


def _sighting(k: int, photo: SetPhoto, turn: PhotoTurn, mark: Mark, number: int) -> Sighting:
    every = max(len(mark.outline_px) // JOIN_POINTS, 1)
    centre = np.array([mark.centre_px])
    entry, ray = rays_in_glass(photo.surface, centre)
    from_axis = (entry - photo.surface.centre_mm) / photo.surface.mean_radius_mm
    back = -turn.turn_rad
    return Sighting(
        photo=k,
        mark=mark,
        number=number,
        outline=turned(places_of(photo.surface, mark.outline_px[::every]), back),
        place=turned(places_of(photo.surface, centre), back)[0],
        entry=turned(from_axis, back)[0],
        ray=turned(ray, back)[0],
    )
