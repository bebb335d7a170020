"""How the piece would be turned between two sides, if it is one: evidence of all photos for each turn."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.compare.same_constants import SIDE_PHOTOS_MOST
from grader.compare.sides import Sides
from grader.sets.constants import TURN_STEPS
from grader.sets.design_map import DesignMap, unroll_design
from grader.sets.find_turns import PhotoTurn, find_turns
from grader.sets.pair_turn import STEP_RAD, weigh_turns
from grader.sets.set_photo import SetPhoto


@dataclass(frozen=True, slots=True, eq=False)
class CrossTurn:
    """What speaks for each turn of the piece from the first later photo to the first earlier one."""

    design: FloatArray
    """(TURN_STEPS,) log-odds by the designs, 0 at the best of each pair of photos."""
    marks: FloatArray
    """(TURN_STEPS,) log-odds by the marks."""
    before: tuple[PhotoTurn, ...]
    """Turns of the earlier photos against the first of them."""
    after: tuple[PhotoTurn, ...]
    """Turns of the later photos against the first of them."""
    before_maps: tuple[DesignMap | None, ...]
    """Unrolled designs of the earlier photos that took part; None from the side."""
    after_maps: tuple[DesignMap | None, ...]
    """The same of the later ones."""

    @property
    def total(self) -> FloatArray:
        """Both together."""
        return self.design + self.marks


def weigh_cross_turns(sides: Sides) -> CrossTurn:
    """Weigh each turn between the sides by design and marks of all pairs of photos across.

    Photos of one side are joined first; then their evidence is moved to the turn of the first photo of each side. The
    evidence of n pairs counts as the root of n, since photos of one side are alike.
    """
    before, after = find_turns(sides.before), find_turns(sides.after)
    maps = [_maps(photos[:SIDE_PHOTOS_MOST]) for photos in (sides.before, sides.after)]
    design, marks, n_pairs = np.zeros(TURN_STEPS), np.zeros(TURN_STEPS), 0
    for j, later in enumerate(sides.after[:SIDE_PHOTOS_MOST]):
        for i, earlier in enumerate(sides.before[:SIDE_PHOTOS_MOST]):
            if not (after[j].is_sure and before[i].is_sure):
                continue
            pair = weigh_turns(later, earlier, maps[1][j], maps[0][i])
            back = -round((before[i].turn_rad - after[j].turn_rad) / STEP_RAD)
            design += np.roll(pair.design, back)
            marks += np.roll(pair.marks, back)
            n_pairs += 1
    share = 1 / np.sqrt(max(n_pairs, 1))
    return CrossTurn(share * design, share * marks, before, after, *maps)


def _maps(photos: Sequence[SetPhoto]) -> tuple[DesignMap | None, ...]:
    return tuple(unroll_design(photo.findings) if photo.is_from_above else None for photo in photos)
