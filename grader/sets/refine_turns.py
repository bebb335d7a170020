"""Turns made finer by the marks that several photos show."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from grader.sets.constants import INSIDE_ODDS, TURN_NEAR_RAD, U_LINE_RATIO, U_PLACE_RATIO, U_TURN_FLOOR_DEG
from grader.sets.find_turns import PhotoTurn
from grader.sets.join import Track
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import Sighting

_MAIN = 0


def refine_turns(
    tracks: Sequence[Track], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]
) -> tuple[PhotoTurn, ...]:
    """Turns moved so that the marks of each photo agree best with those of the photos before it.

    Weighted mean of the marks' differences about the axis, together with what the turn was known to be; a mark counts
    by its sureness, its distance from the axis and how sharply its middle is known. Between photos from different
    sides only marks on the surface count, since what lies inside shifts with the view.
    """
    finer = list(turns)
    for k in range(len(turns)):
        if k == _MAIN or not turns[k].is_sure:
            continue
        weight, total = 1 / turns[k].u_turn_rad ** 2, 0.0
        for track in tracks:
            here = track.in_photo(k)
            for there in track.sightings:
                if here is None or there.photo >= k or not turns[there.photo].is_sure:
                    continue
                both_above = photos[k].is_from_above and photos[there.photo].is_from_above
                if both_above or _is_on_surface(here, there):
                    # what the other photo's turn was moved by comes on top
                    moved = finer[there.photo].turn_rad - turns[there.photo].turn_rad
                    off, part = _difference(here, there)
                    weight += part
                    total += part * (off + moved)
        u_turn = max(1 / math.sqrt(weight), math.radians(U_TURN_FLOOR_DEG))
        finer[k] = replace(turns[k], turn_rad=turns[k].turn_rad + total / weight, u_turn_rad=u_turn)
    return tuple(finer)


def _is_on_surface(here: Sighting, there: Sighting) -> bool:
    near = float(np.linalg.norm(here.place - there.place)) < TURN_NEAR_RAD
    return near and max(here.inside_odds, there.inside_odds) < INSIDE_ODDS


def _difference(here: Sighting, there: Sighting) -> tuple[float, float]:
    """Turn that would bring a mark of one photo onto that of another, rad, and its weight, 1 / rad2."""
    from_axis = float(np.hypot(*here.place[:2]) + np.hypot(*there.place[:2])) / 2
    off = math.atan2(here.place[1], here.place[0]) - math.atan2(there.place[1], there.place[0])
    off = (off + math.pi) % (2 * math.pi) - math.pi
    u_place = max(_u_place(here), _u_place(there)) * math.sqrt(2)
    sure = here.mark.confidence * there.mark.confidence
    return off, sure * (from_axis / u_place) ** 2


def _u_place(one: Sighting) -> float:
    """Standard uncertainty of a mark's place on the surface, in radii: what lies inside shifts with the view."""
    inside = U_PLACE_RATIO * 5 * one.inside_odds
    if not one.is_line:
        return math.hypot(U_PLACE_RATIO, inside)
    extent = float(np.linalg.norm(np.ptp(one.outline, axis=0)))
    return math.hypot(U_PLACE_RATIO, U_LINE_RATIO * extent, inside)
