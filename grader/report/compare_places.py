"""Where each change is drawn in each of the two pictures: the mark, or the place where it is not."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import PointsPx
from grader.compare.change import Change, ChangeName
from grader.compare.sides import Side
from grader.comparison import ChangeFacts
from grader.comparison_build import Compared
from grader.marks.mark import MarkKind
from grader.report.compare_constants import CHANGES_DRAWN_MOST, LEAST_FACING
from grader.report.constants import DRAWN_CONFIDENCE
from grader.report.registered import StandingPhoto, carried


@dataclass(frozen=True, slots=True, eq=False)
class ShownChange:
    """A change where one photo shows it, or would."""

    number: int
    """As in the comparison."""
    change: ChangeName
    outline_px: PointsPx
    """In the photo, (N, 2): the mark's own outline, or that of its place."""
    is_seen: bool
    """Whether the photo shows the mark itself."""
    is_possible: bool
    """Whether the change is less likely than not."""


def drawn_facts(compared: Compared) -> tuple[tuple[ChangeFacts, Change], ...]:
    """Return the changes that are drawn and listed beside the pictures: possible ones at least, dust if likely."""
    pairs = zip(compared.comparison.changes, compared.changes, strict=True)
    kept = [
        (facts, change)
        for facts, change in pairs
        if facts.confidence >= DRAWN_CONFIDENCE and (facts.is_reported or facts.kind != MarkKind.DUST.value)
    ]
    return tuple(kept[:CHANGES_DRAWN_MOST])


def standing(compared: Compared, side: Side, photo: int) -> StandingPhoto:
    """Return a photo of a side, and how the piece stands in it."""
    alignment, sides = compared.judgement.alignment, compared.sides
    photos, turns = (sides.before, alignment.before) if side == 'before' else (sides.after, alignment.after)
    return StandingPhoto(photos[photo], turns[photo])


def shown_pair(compared: Compared) -> tuple[int, int]:
    """Return the numbers of the earlier and the later photo that are shown: the best two of one kind of view."""
    sides = compared.sides
    for j, after in enumerate(sides.after):
        for i, before in enumerate(sides.before):
            if before.is_from_above == after.is_from_above:
                return i, j
    return 0, 0


def places_in(compared: Compared, side: Side, photo: int) -> tuple[ShownChange, ...]:
    """Return the drawn changes in one photo; those whose place it does not show are left out."""
    found = [_place_in(compared, facts, change, side, photo) for facts, change in drawn_facts(compared)]
    return tuple(one for one in found if one is not None)


def _place_in(compared: Compared, facts: ChangeFacts, change: Change, side: Side, photo: int) -> ShownChange | None:
    is_possible = not facts.is_reported
    for seen in change.seen_in:
        if seen.side == side and seen.photo == photo:
            return ShownChange(facts.number, facts.change, seen.outline_px, True, is_possible)
    look = change.other_look
    here, there = standing(compared, change.best.side, change.best.photo), standing(compared, side, photo)
    points_px, facing = carried(change.best.outline_px, here, there)
    if facing.mean() <= LEAST_FACING:
        return None
    if change.best.side != side and look.photo == photo and look.centre_px is not None:
        # Where the comparison itself looked; inner marks lie beside their place on the surface.
        points_px = points_px + (np.asarray(look.centre_px) - points_px.mean(axis=0))
    return ShownChange(facts.number, facts.change, points_px, False, is_possible)
