"""Where another photo shows what one photo shows inside the glass, if its depth is not known."""

import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.compare.constants import INNER_DEPTH_RATIOS, INNER_ROUNDS
from grader.compare.crop_light import CropLight
from grader.sets.places import turned
from grader.sets.refraction import rays_in_glass
from grader.sets.sightings import Sighting


def inner_shifts(one: Sighting, there: CropLight) -> FloatArray:
    """Shifts (N, 2), crop px of another photo, of a mark inside against its place on the surface, depth by depth.

    The first is that of the surface, none. A pixel is sought whose ray in the glass passes the point: it is moved by
    the miss, seen as on the surface, in a few rounds.
    """
    turn, surface = there.turn.turn_rad, there.photo.surface
    inner = one.entry + np.asarray(INNER_DEPTH_RATIOS)[:, None] * one.ray
    targets = surface.centre_mm + surface.mean_radius_mm * turned(inner, turn)
    start = _on_surface(one, there)
    pixels = np.repeat(start, len(targets), axis=0)
    for _ in range(INNER_ROUNDS):
        entries, rays = rays_in_glass(surface, pixels)
        along = ((targets - entries) * rays).sum(axis=1, keepdims=True)
        missed = targets - entries - along * rays
        pixels = pixels + surface.eye.project(entries + missed) - surface.eye.project(entries)
    scale = there.photo.crop.scale_ratio
    # The two photos' glass differs a little, so that the depth of none has a shift of its own.
    return np.asarray((pixels - pixels[0]) * scale)


def _on_surface(one: Sighting, there: CropLight) -> PointsPx:
    """Pixel (1, 2) of the mark's place on the surface."""
    points, _ = there.from_piece(one.place[None])
    return there.photo.crop.to_photo(points)
