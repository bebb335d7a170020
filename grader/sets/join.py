"""Which marks of several photos are one mark on the piece."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.marks.mark import MarkKind
from grader.sets.constants import (
    DEEPEST_RATIO,
    INSIDE_ODDS,
    JOIN_FURTHER,
    JOIN_RAY_RATIO,
    JOIN_SHARE,
)
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import Sighting, joint_share


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """One mark on the piece with all its sightings."""

    sightings: tuple[Sighting, ...]
    """The surest first; several of one photo where that shows it in parts."""

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
            parts = [one for one in left if turns[one.photo].is_sure and _is_part(one, members, photos, turns)]
            members += parts
            left = [one for one in left if one not in parts]
        tracks.append(Track(tuple(sorted(members, key=lambda one: (-one.mark.confidence, one.photo)))))
    return tuple(tracks)


def _best_partner(
    members: Sequence[Sighting], choices: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]
) -> Sighting | None:
    """The choice that agrees best with any of the members; None where none does."""
    best, best_fit = None, 0.0
    for one in choices:
        share, alike = max((joint_share(member, one, photos, turns), kinds_alike(member, one)) for member in members)
        fit = (share if share >= JOIN_SHARE else _ray_fit(members, one)) * (0.5 + alike)
        if fit > best_fit:
            best, best_fit = one, fit
    return best


def _is_part(
    one: Sighting, members: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]
) -> bool:
    """Whether a mark lies on what another photo shows as one of the members."""
    least_share, least_alike = JOIN_FURTHER
    return any(
        member.photo != one.photo
        and kinds_alike(member, one) >= least_alike
        and joint_share(member, one, photos, turns) >= least_share
        for member in members
    )


def kinds_alike(one: Sighting, other: Sighting) -> float:
    """Probability that two marks, judged apart, are of the same kind, 0 to 1; dust and scratch count as alike in half,
    since a fibre looks like a scratch.
    """
    same = sum(odds * other.mark.odds_of(kind) for kind, odds in one.mark.kind_odds)
    lines = (MarkKind.SCRATCH, MarkKind.DUST)
    crossed = sum(one.mark.odds_of(a) * other.mark.odds_of(b) for a in lines for b in lines if a != b)
    return min(same + 0.5 * crossed, 1.0)


def _ray_fit(members: Sequence[Sighting], one: Sighting) -> float:
    """How well the rays to all members and a further mark meet in the glass: 0 not at all, always below JOIN_SHARE."""
    views = [*members, one]
    if min(view.inside_odds for view in views) < INSIDE_ODDS:
        return 0.0
    meeting = meeting_of(views)
    apart = [meeting - view.entry for view in views]
    along = [float(away @ view.ray) for away, view in zip(apart, views, strict=True)]
    gap = max(float(np.linalg.norm(away - t * view.ray)) for away, t, view in zip(apart, along, views, strict=True))
    deep = min(along) > 0 and max(along) < DEEPEST_RATIO
    return JOIN_SHARE * (1 - gap / JOIN_RAY_RATIO) if deep and gap < JOIN_RAY_RATIO else 0.0


def meeting_of(views: Sequence[Sighting]) -> FloatArray:
    """Point (3,) to which the rays of several views come nearest in the least-squares sense.

    Rays that are all but parallel leave the depth open; a weak pull to where they enter keeps it finite.
    """
    across = [np.eye(3) - np.outer(view.ray, view.ray) for view in views]
    pull = 1e-6 * np.eye(3)
    middle = np.mean([view.entry for view in views], axis=0)
    right = sum((part @ view.entry for part, view in zip(across, views, strict=True)), pull @ middle)
    return np.asarray(np.linalg.solve(sum(across, pull), right))
