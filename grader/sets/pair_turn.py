"""What speaks for each turn of the piece between two photos: its design, and its marks."""

import math
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from calib.constants import MAD_TO_SD
from grader.marks.mark import Mark, MarkKind
from grader.sets.constants import (
    SAME_LIGHT_LOG,
    SIDE_TRUST,
    TURN_LEAST_CONFIDENCE,
    TURN_MISS_LEAST,
    TURN_SAME_STEPS,
    TURN_STEPS,
    U_AGREEMENT,
    U_AGREEMENT_LOW,
    UNTURNED_STEPS,
)
from grader.sets.design_map import DesignMap
from grader.sets.design_turn import design_agreement
from grader.sets.looks import look_ratios
from grader.sets.places import places_of
from grader.sets.set_photo import SetPhoto

STEP_RAD = 2 * math.pi / TURN_STEPS


@dataclass(frozen=True, slots=True, eq=False)
class PairEvidence:
    """Log-odds of each turn from a first photo to a second, each but for a constant, (TURN_STEPS,)."""

    design: FloatArray
    """By the design; zero where a photo is not from above."""
    marks: FloatArray
    """By the marks."""

    @property
    def total(self) -> FloatArray:
        """Both together."""
        return self.design + self.marks

    def reversed(self) -> 'PairEvidence':
        """The same from the second photo to the first."""
        return PairEvidence(np.roll(self.design[::-1], 1), np.roll(self.marks[::-1], 1))


def weigh_turns(
    first: SetPhoto, second: SetPhoto, first_map: DesignMap | None, second_map: DesignMap | None
) -> PairEvidence:
    """What speaks for each turn between two photos.

    Parameters
    ----------
    first, second : SetPhoto
    first_map, second_map : DesignMap or None
        Their unrolled designs; None where a photo is not from above.
    """
    design = np.zeros(TURN_STEPS)
    if first_map is not None and second_map is not None:
        design = _design_evidence(design_agreement(first_map, second_map))
    there = _marks_evidence(first, second)
    back = _marks_evidence(second, first)
    return PairEvidence(design, there + np.roll(back[::-1], 1))


def _design_evidence(agreement: FloatArray) -> FloatArray:
    """Log-odds of each turn by the agreement of two designs, 0 at the best, (TURN_STEPS,).

    A turn falls behind the best by its lack of agreement in two ways, the larger of which counts: against what equal
    turns differ by, and against the scatter of agreement that turns at large show, as for normal noise.
    """
    best = max(float(agreement.max()), 0.0)
    scatter = max(MAD_TO_SD * float(np.median(np.abs(agreement - np.median(agreement)))), U_AGREEMENT)
    by_likeness = (best - agreement) / (U_AGREEMENT + U_AGREEMENT_LOW * (1 - best))
    by_scatter = (best**2 - np.maximum(agreement, 0.0) ** 2) / (2 * scatter**2)
    return np.asarray(-np.maximum(by_likeness, by_scatter))


def is_same_light(first: SetPhoto, second: SetPhoto) -> bool:
    """Whether two photos were taken from the same side in the same light, as far as their brightness tells."""
    if not (first.is_from_above and second.is_from_above):
        return False
    return bool(np.median(np.abs(first.light - second.light)) < SAME_LIGHT_LOG)


def unturned_log_prior(mass: float) -> FloatArray:
    """Log probability of each turn before looking, (TURN_STEPS,): so much for no turn, the rest for any."""
    prior = np.full(TURN_STEPS, (1 - mass) / TURN_STEPS)
    near = np.arange(-UNTURNED_STEPS, UNTURNED_STEPS + 1)
    bell = np.exp(-0.5 * (2 * near / UNTURNED_STEPS) ** 2)
    prior[near % TURN_STEPS] += mass * bell / bell.sum()
    return np.asarray(np.log(prior))


def _marks_evidence(first: SetPhoto, second: SetPhoto) -> FloatArray:
    """Log-odds of each turn by whether the second photo shows the marks of the first, (TURN_STEPS,)."""
    both_above = first.is_from_above and second.is_from_above
    marks = [mark for mark in first.findings.marks if _tells_turn(mark, both_above)]
    evidence = np.zeros(TURN_STEPS)
    if not marks:
        return evidence
    turns = np.arange(TURN_STEPS) * STEP_RAD
    same = np.full(TURN_STEPS, float(is_same_light(first, second)))
    places = places_of(first.surface, np.array([mark.centre_px for mark in marks]))
    for mark, place in zip(marks, places, strict=True):
        x, y, z = place
        round_axis = np.column_stack(
            [x * np.cos(turns) - y * np.sin(turns), x * np.sin(turns) + y * np.cos(turns), np.full(TURN_STEPS, z)]
        )
        points_px, visible = second.shows(round_axis)
        if_mark, if_none = look_ratios(second.peak_at(points_px), visible, same)
        lasting = mark.confidence * (1 - mark.odds_of(MarkKind.DUST))
        looked = lasting * if_mark + (1 - lasting) * np.minimum(if_none, 1.0)
        evidence += np.log(np.maximum(looked, TURN_MISS_LEAST))
    # Within reach of a mark the evidence is flat; its middle is what counts.
    smooth = np.mean([np.roll(evidence, k) for k in range(-TURN_SAME_STEPS, TURN_SAME_STEPS + 1)], axis=0)
    return np.asarray(smooth if both_above else SIDE_TRUST * smooth)


def _tells_turn(mark: Mark, both_above: bool) -> bool:
    """Whether a mark's place on the surface is the same in both photos: what lies inside shifts with the view."""
    on_surface = mark.odds_of(MarkKind.SCRATCH) + mark.odds_of(MarkKind.CHIP)
    return mark.confidence >= TURN_LEAST_CONFIDENCE and (both_above or on_surface >= 0.5)
