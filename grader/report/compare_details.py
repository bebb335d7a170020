"""Details of the design side by side: why it is the same piece, or why not."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.compare.judgement import DetailMatch
from grader.comparison_build import Compared
from grader.report.clock_frame import ClockFrame, draw_turned, frame_by_clock, window_of
from grader.report.compare_constants import (
    DETAIL_RATIO,
    DETAILS_ALIKE,
    DETAILS_APART_MOST,
    DETAILS_MOST,
    GAIN_PIECE_PX,
)
from grader.report.compare_places import standing
from grader.report.registered import StandingPhoto, gain_to, inside_outline, with_gain

LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ'


@dataclass(frozen=True, slots=True, eq=False)
class DetailPlace:
    """Where one photo shows a detail."""

    letter: str
    centre_px: FloatArray
    """(2,) in the photo."""
    half_ratio: float
    """Half of its square's side, as a share of the piece's width."""


@dataclass(frozen=True, slots=True, eq=False)
class DetailPair:
    """A detail as both sides show it."""

    letter: str
    is_alike: bool
    """Whether it looks the same in both."""
    likeness: float
    before: RgbImage
    """(N, N, 3) turned to the main photo's clock, and made as light as the later photo."""
    after: RgbImage
    match: DetailMatch


def chosen_details(compared: Compared, pair: tuple[int, int]) -> tuple[DetailMatch, ...]:
    """Return the details to show, of those between the two photos shown: the most alike, and what differs.

    Parameters
    ----------
    compared : Compared
    pair : tuple
        Numbers of the earlier and the later photo.
    """
    here = [one for one in compared.judgement.matches if (one.before, one.after) == pair]
    alike = [one for one in here if one.likeness >= DETAILS_ALIKE]
    apart = sorted((one for one in here if one.likeness < DETAILS_ALIKE), key=lambda one: one.likeness)
    if compared.judgement.verdict == 'another piece':
        n_apart = min(len(apart), DETAILS_APART_MOST)
    else:
        n_apart = min(len(apart), max(DETAILS_MOST - len(alike), 1))
    chosen = [*alike[: DETAILS_MOST - n_apart], *apart[:n_apart]]
    return tuple(chosen[:DETAILS_MOST])


def detail_pairs(compared: Compared, pair: tuple[int, int], side_px: int) -> tuple[DetailPair, ...]:
    """Return the pictures of the details, `side_px` wide."""
    before, after = standing(compared, 'before', pair[0]), standing(compared, 'after', pair[1])
    frames = [frame_by_clock(one.photo, one.turn, GAIN_PIECE_PX, 0.0) for one in (before, after)]
    whole = [
        draw_turned(one.photo.findings.view.photo.rgb, frame)
        for one, frame in zip((before, after), frames, strict=True)
    ]
    gain = gain_to(whole[0], whole[1], inside_outline(after.photo, frames[1]))
    return tuple(
        DetailPair(
            letter=letter,
            is_alike=match.likeness >= DETAILS_ALIKE,
            likeness=match.likeness,
            before=with_gain(_cut(before, frames[0], match.before_px, side_px), gain),
            after=_cut(after, frames[1], match.after_px, side_px),
            match=match,
        )
        for letter, match in zip(LETTERS, chosen_details(compared, pair), strict=False)
    )


def detail_places(pairs: tuple[DetailPair, ...], *, is_before: bool) -> tuple[DetailPlace, ...]:
    """Return where the photo of one side shows the details."""
    return tuple(
        DetailPlace(one.letter, np.asarray(one.match.before_px if is_before else one.match.after_px), DETAIL_RATIO / 2)
        for one in pairs
    )


def _cut(one: StandingPhoto, frame: ClockFrame, centre_px: FloatArray, side_px: int) -> RgbImage:
    width_px = DETAIL_RATIO * 2 * frame.radius / frame.scale
    return draw_turned(one.photo.findings.view.photo.rgb, window_of(frame, np.asarray(centre_px), width_px, side_px))
