"""Which marks of several photos are one mark on the piece."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.marks.mark import MarkKind
from grader.sets.constants import DEEPEST_RATIO, INSIDE_ODDS, JOIN_RAY_RATIO, JOIN_SHARE
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import Sighting, joint_share


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """One mark on the piece with all its sightings."""

    sightings: tuple[Sighting, ...]
    """At most one a photo; the surest first."""

    @property
    def surest(self) -> Sighting:
        """The surest sighting."""
        return self.sightings[0]

    def in_photo(self, photo: int) -> Sighting | None:
        """The sighting of one photo; None where that photo by itself found nothing here."""
        return next((one for one in self.sightings if one.photo == photo), None)


def join_marks(
    sightings: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]
) -> tuple[Track, ...]:
    """Tracks, surest first.

    Beginning with the surest mark, each takes the best partner of every other photo that is left: one at the same
    place of the surface, or, for what may lie inside, one to which the rays through the glass meet.

    Parameters
    ----------
    sightings
        Marks of all photos, the surest first.
    photos, turns
        The photos, and how the piece stands in each. A photo whose turn is not sure keeps its marks to itself.
    """
    left = list(sightings)
    tracks = []
    while left:
        first = left.pop(0)
        members = [first]
        if turns[first.photo].is_sure:
            for k in range(len(photos)):
                if k != first.photo and turns[k].is_sure:
                    partner = _best_partner(members, [one for one in left if one.photo == k], photos, turns)
                    if partner is not None:
                        members.append(partner)
                        left.remove(partner)
        tracks.append(Track(tuple(sorted(members, key=lambda one: (-one.mark.confidence, one.photo)))))
    return tuple(tracks)


def _best_partner(
    members: Sequence[Sighting], choices: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]
) -> Sighting | None:
    """The choice that agrees best with any of the members; None where none does."""
    best, best_fit = None, 0.0
    for one in choices:
        for member in members:
            share = joint_share(member, one, photos, turns)
            fit = share if share >= JOIN_SHARE else _ray_fit(member, one)
            fit *= 0.5 + kinds_alike(member, one)
            if fit > best_fit:
                best, best_fit = one, fit
    return best


def kinds_alike(one: Sighting, other: Sighting) -> float:
    """Probability that two marks, judged apart, are of the same kind, 0 to 1; dust and scratch count as alike in half,
    since a fibre looks like a scratch.
    """
    same = sum(odds * other.mark.odds_of(kind) for kind, odds in one.mark.kind_odds)
    lines = (MarkKind.SCRATCH, MarkKind.DUST)
    crossed = sum(one.mark.odds_of(a) * other.mark.odds_of(b) for a in lines for b in lines if a != b)
    return min(same + 0.5 * crossed, 1.0)


def _ray_fit(one: Sighting, other: Sighting) -> float:
    """How well the rays to two marks meet inside the glass: 0 not at all, below JOIN_SHARE always."""
    if min(one.inside_odds, other.inside_odds) < INSIDE_ODDS:
        return 0.0
    gap, along_one, along_other = closest_approach(one.entry, one.ray, other.entry, other.ray)
    deep = min(along_one, along_other) > 0 and max(along_one, along_other) < DEEPEST_RATIO
    return JOIN_SHARE * (1 - gap / JOIN_RAY_RATIO) if deep and gap < JOIN_RAY_RATIO else 0.0


def closest_approach(
    entry_a: FloatArray, ray_a: FloatArray, entry_b: FloatArray, ray_b: FloatArray
) -> tuple[float, float, float]:
    """Smallest distance between two rays, and how far along each (unit directions) it lies; 0 for parallel rays."""
    apart = entry_b - entry_a
    cosine = float(ray_a @ ray_b)
    sine2 = 1 - cosine**2
    if sine2 < 1e-9:
        return float(np.linalg.norm(apart - (apart @ ray_a) * ray_a)), 0.0, 0.0
    on_a, on_b = float(apart @ ray_a), float(apart @ ray_b)
    along_a, along_b = (on_a - cosine * on_b) / sine2, (cosine * on_a - on_b) / sine2
    gap = apart + along_b * ray_b - along_a * ray_a
    return float(np.linalg.norm(gap)), along_a, along_b
