"""Whether both sides show one piece."""

import math
from dataclasses import replace

import numpy as np

from calib.arrays import FloatArray
from grader.compare.cross_turn import CrossTurn, weigh_cross_turns
from grader.compare.design_chart import chart_source
from grader.compare.design_evidence import DesignEvidence, weigh_designs
from grader.compare.judgement import DesignWeight, DetailMatch, Ground, PieceJudgement, SameVerdict
from grader.compare.match_list import list_matches
from grader.compare.one_height import with_one_height
from grader.compare.piece_odds import probability_of
from grader.compare.piece_size import SizeMatch, match_sizes
from grader.compare.piece_words import colour_words, design_words, marks_words, size_words
from grader.compare.same_constants import (
    CANDIDATE_APART_STEPS,
    CONTRAST_LITTLE,
    CONTRAST_NONE,
    DESIGN_TRUST_LITTLE,
    DETAILS_LEAST,
    EQUAL_TURNS_LOG_ODDS,
    EQUAL_TURNS_MOST,
    MARKS_CLIP,
    MARKS_TRUST,
    ODDS_CLIP,
    OTHER_PROBABILITY,
    SAME_PROBABILITY,
    TURN_CANDIDATES,
    TURN_MISFIT,
    U_TURN_FLOOR_DEG,
)
from grader.compare.sides import Alignment, Sides
from grader.compare.turn_peaks import highest_peaks, steps_apart
from grader.sets.constants import TURN_SAME_STEPS, TURN_STEPS
from grader.sets.find_turns import BY_DESIGN, BY_MARKS, MAIN, PhotoTurn
from grader.sets.pair_turn import STEP_RAD, is_same_light


def judge_same_piece(sides: Sides) -> PieceJudgement:
    """Judge whether both sides show one piece, and how it would stand in each photo.

    The glass of all photos is taken as equally high, as it would be of one piece.

    1. All photos say for each turn of the piece how well designs and marks agree.
    2. At the best turns the designs of the best photo of each side are laid over each other, detail by detail.
    3. Details, colours, widths and marks give their odds; with little design these count less.
    4. The turn is made exact, and all other photos follow it.
    """
    sides = with_one_height(sides)
    cross = weigh_cross_turns(sides)
    steps = highest_peaks(cross.total, TURN_CANDIDATES, CANDIDATE_APART_STEPS)
    evidence = _weigh_design(sides, cross, steps)
    weight = _design_weight(evidence)
    grounds = _grounds(sides, cross, evidence, weight)
    log_odds = min(max(sum(one.log_odds for one in grounds), -ODDS_CLIP), ODDS_CLIP)
    probability = probability_of(log_odds)
    matches: tuple[DetailMatch, ...] = ()
    if evidence is not None:
        pair = _pair(sides)
        matches = list_matches(evidence, before=pair[0], after=pair[1])
    return PieceJudgement(
        probability=probability,
        verdict=_verdict(probability),
        design=weight,
        grounds=tuple(sorted(grounds, key=lambda one: -abs(one.log_odds))),
        matches=matches,
        alignment=_alignment(sides, cross, steps, evidence),
    )


def compare_designs(sides: Sides) -> DesignEvidence | None:
    """The designs of both sides laid over each other at the best turn; None where a side has no photo from above."""
    sides = with_one_height(sides)
    cross = weigh_cross_turns(sides)
    return _weigh_design(sides, cross, highest_peaks(cross.total, TURN_CANDIDATES, CANDIDATE_APART_STEPS))


def _pair(sides: Sides) -> tuple[int, int]:
    """Numbers of the earlier and of the later photo whose designs are compared: the first from above on each side."""
    before, after = (
        next((k for k, photo in enumerate(photos) if photo.is_from_above), 0) for photos in (sides.before, sides.after)
    )
    return before, after


def _weigh_design(sides: Sides, cross: CrossTurn, steps: tuple[int, ...]) -> DesignEvidence | None:
    """Designs laid over each other at the best of some turns; None where a side has no photo from above."""
    i, j = _pair(sides)
    if i >= len(cross.before_maps) or j >= len(cross.after_maps):
        return None
    before_map, after_map = cross.before_maps[i], cross.after_maps[j]
    if before_map is None or after_map is None:
        return None
    earlier, later = sides.before[i], sides.after[j]
    off = round((cross.before[i].turn_rad - cross.after[j].turn_rad) / STEP_RAD)
    return weigh_designs(
        chart_source(later.findings),
        chart_source(earlier.findings),
        (after_map, before_map),
        tuple((step + off) % TURN_STEPS for step in steps),
        other_light=not is_same_light(earlier, later),
    )


def _design_weight(evidence: DesignEvidence | None) -> DesignWeight:
    if evidence is None or evidence.match.contrast < CONTRAST_NONE or len(evidence.details) < DETAILS_LEAST:
        return 'none'
    return 'little' if evidence.match.contrast < CONTRAST_LITTLE else 'rich'


def _grounds(sides: Sides, cross: CrossTurn, evidence: DesignEvidence | None, weight: DesignWeight) -> list[Ground]:
    """All that speaks for one piece or against it."""
    trust = {'rich': 1.0, 'little': DESIGN_TRUST_LITTLE, 'none': 0.0}[weight]
    by_design = 0.0 if evidence is None else trust * evidence.log_odds
    grounds = [Ground('design', design_words(evidence, weight, count_equal_turns(cross.design)), by_design)]
    if evidence is not None and evidence.colours.strength > 0:
        grounds.append(Ground('colours', colour_words(evidence.colours), 0.0))
    sizes = match_sizes(sides.before[0], sides.after[0])
    grounds.append(Ground('size', size_words(sizes), sizes.log_odds if isinstance(sizes, SizeMatch) else 0.0))
    marks = MARKS_TRUST * marks_log_odds(cross.marks)
    if marks:
        grounds.append(Ground('marks', marks_words(marks), marks))
    return grounds


def count_equal_turns(design: FloatArray) -> int:
    """At how many turns the designs agree about as well as at the best, by log-odds (TURN_STEPS,)."""
    peaks = highest_peaks(design, EQUAL_TURNS_MOST, CANDIDATE_APART_STEPS)
    return sum(design[step] > design.max() - EQUAL_TURNS_LOG_ODDS for step in peaks)


def marks_log_odds(evidence: FloatArray) -> float:
    """Log-odds of one piece by the marks, whatever the turn: the mean of the odds of all turns (TURN_STEPS,)."""
    if not np.any(evidence):
        return 0.0
    best = float(evidence.max())
    mean = best + math.log(float(np.exp(evidence - best).mean()))
    return min(max(mean, MARKS_CLIP[0]), MARKS_CLIP[1])


def _verdict(probability: float) -> SameVerdict:
    if probability >= SAME_PROBABILITY:
        return 'same piece'
    return 'another piece' if probability <= OTHER_PROBABILITY else 'cannot tell'


def _alignment(sides: Sides, cross: CrossTurn, steps: tuple[int, ...], evidence: DesignEvidence | None) -> Alignment:
    """Turns of all photos against the first later one."""
    total = cross.total
    if evidence is None:
        turn, u_turn = steps[0] * STEP_RAD, math.radians(1.0)
    else:
        i, j = _pair(sides)
        turn = evidence.field.turn_rad - cross.before[i].turn_rad + cross.after[j].turn_rad
        u_turn = math.hypot(TURN_MISFIT * evidence.field.u_turn_rad, math.radians(U_TURN_FLOOR_DEG))
    step = round(turn / STEP_RAD) % TURN_STEPS
    chances = np.exp(total - total.max())
    near = np.array([steps_apart(k, step) <= TURN_SAME_STEPS for k in range(TURN_STEPS)])
    probability = float(chances[near].sum() / chances.sum())
    basis = _basis(cross, step)
    before = tuple(
        PhotoTurn(
            _wrapped(turn + own.turn_rad),
            math.hypot(u_turn, own.u_turn_rad),
            probability * own.probability,
            basis if k == 0 else own.basis,
        )
        for k, own in enumerate(cross.before)
    )
    return Alignment(before, (replace(cross.after[0], basis=MAIN), *cross.after[1:]))


def _basis(cross: CrossTurn, step: int) -> str:
    """What sets the chosen turn apart from the mean of all turns."""
    told = [
        words
        for words, evidence in ((BY_DESIGN, cross.design), (BY_MARKS, cross.marks))
        if evidence[step] - evidence.mean() > 2.0
    ]
    return " and ".join(told) or "neither design nor marks tell the turn"


def _wrapped(turn_rad: float) -> float:
    return (turn_rad + math.pi) % (2 * math.pi) - math.pi
