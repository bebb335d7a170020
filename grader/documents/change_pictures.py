"""Each change as both sides show it, cut from the photos' own pixels."""

import cmath
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.compare.sides import Side
from grader.comparison import ChangeFacts, LookFacts, MatchFacts
from grader.comparison_words import SIDE_WORDS, SIDES
from grader.documents.blocks import Picture
from grader.documents.compared import ComparedPiece
from grader.documents.constants import (
    CLOSE_UP_CLEARANCE_PX,
    CLOSE_UP_HALO_PX,
    CLOSE_UP_LEAST_RADIUS_PX,
    CLOSE_UP_LEAST_RATIO,
    CLOSE_UP_LINE_PX,
    CLOSE_UP_PX,
    CLOSE_UP_ROOM,
    TURN_AGREEMENT,
    TURN_MATCHES_LEAST,
)
from grader.documents.pictures import picture_of, window, with_scale_strip
from grader.grade.words import KIND_WORDS
from grader.marks.mark import MarkKind
from grader.report.canvas import Canvas
from grader.report.compare_constants import CHANGE_COLOURS
from grader.report.mark_shapes import lines_round

_DASH_PX, _GAP_PX = 8.0, 8.0


@dataclass(frozen=True, slots=True, eq=False)
class ChangeView:
    """Where one photo shows a change, or the place of it."""

    side: Side
    photo: str
    centre_px: FloatArray
    """(2,) in the photo."""
    outline_px: FloatArray
    """(N, 2) in the photo; no points where the mark itself is not seen."""


def change_pictures(compared: ComparedPiece, change: ChangeFacts) -> tuple[Picture, ...]:
    """Return the place of a change in an earlier and in a later photo, as far as one shows it; the earlier first.

    Both show the same part of the piece; the earlier one is turned like the later one where the design tells how.
    """
    views = [view for side in SIDES if (view := _view(change, side)) is not None]
    extent_ratio = _extent_ratio(compared, change)
    pictures = []
    for view in views:
        turn_rad = 0.0
        if view.side == 'before' and len(views) == 2:
            turn_rad = turn_between(compared.comparison.same_piece.matches, view.photo, views[1].photo)
        drawn = _close_up(compared, change, view, extent_ratio, turn_rad)
        kind = KIND_WORDS[MarkKind(change.kind)]
        words = f"Place of number {change.number}, a {kind}, in the {SIDE_WORDS[view.side]} photo"
        pictures.append(picture_of(drawn, words))
    return tuple(pictures)


def turn_between(matches: Sequence[MatchFacts], before: str, after: str) -> float:
    """Return the angle, from +x to +y, by which the piece stands turned in a later photo against an earlier one.

    By the details of the design that are alike in both; 0 where they are too few or do not agree.
    """
    pairs = [(one.before_px, one.after_px) for one in matches if (one.before_photo, one.after_photo) == (before, after)]
    if len(pairs) < TURN_MATCHES_LEAST:
        return 0.0
    earlier, later = (np.array([complex(*pair[k]) for pair in pairs]) for k in (0, 1))
    earlier, later = earlier - earlier.mean(), later - later.mean()
    turn = complex(np.vdot(earlier, later))
    agreement = abs(turn) / max(float(np.linalg.norm(earlier) * np.linalg.norm(later)), 1e-9)
    return cmath.phase(turn) if agreement >= TURN_AGREEMENT else 0.0


def view_in(change: ChangeFacts, side: Side, photo: str) -> ChangeView | None:
    """Return where one photo shows a change or its place; None where it shows neither."""
    for seen in change.seen_in:
        if (seen.side, seen.photo) == (side, photo):
            outline_px = np.array(seen.outline_px, dtype=np.float64)
            return ChangeView(side, photo, (outline_px.min(axis=0) + outline_px.max(axis=0)) / 2, outline_px)
    return _place(change, side, photo)


def _view(change: ChangeFacts, side: Side) -> ChangeView | None:
    """Where the best photo of a side shows a change or its place."""
    seen = [one.photo for one in change.seen_in if one.side == side]
    best = [photo for photo in seen if photo in (change.photo, change.best_photo)] or seen
    if best:
        return view_in(change, side, best[0])
    return _place(change, side, None)


def _place(change: ChangeFacts, side: Side, photo: str | None) -> ChangeView | None:
    """Where a side was looked at for a mark that it does not show; in any photo where none is named."""
    look: LookFacts | None = change.earlier if side == 'before' else change.later
    if look is None or look.photo is None or look.centre_px is None or (photo is not None and look.photo != photo):
        return None
    return ChangeView(side, look.photo, np.array(look.centre_px), np.zeros((0, 2)))


def _extent_ratio(compared: ComparedPiece, change: ChangeFacts) -> float:
    """Side of the part of the piece to show, as a share of its width."""
    _, facts = compared.photo(change.side, change.photo)
    extent_px = float(np.ptp(np.array(change.outline_px), axis=0).max())
    return max(CLOSE_UP_ROOM * extent_px / facts.width_px, CLOSE_UP_LEAST_RATIO)


def _close_up(
    compared: ComparedPiece, change: ChangeFacts, view: ChangeView, extent_ratio: float, turn_rad: float
) -> RgbImage:
    rgb, facts = compared.photo(view.side, view.photo)
    scale = CLOSE_UP_PX / (extent_ratio * facts.width_px)
    c, s = scale * np.cos(turn_rad), scale * np.sin(turn_rad)
    linear = np.array([[c, -s], [s, c]])
    middle = (CLOSE_UP_PX - 1) / 2
    canvas = Canvas(window(rgb, linear, view.centre_px, CLOSE_UP_PX))
    colour = CHANGE_COLOURS[change.change]
    if len(view.outline_px):
        for line in lines_round(
            (view.outline_px - view.centre_px) @ linear.T + middle, CLOSE_UP_CLEARANCE_PX, CLOSE_UP_LEAST_RADIUS_PX
        ):
            canvas.halo_line(line, colour, CLOSE_UP_LINE_PX, CLOSE_UP_HALO_PX, closed=True)
    else:
        turn = 2 * np.pi * np.arange(90) / 90
        reach = CLOSE_UP_PX / (2 * CLOSE_UP_ROOM) + CLOSE_UP_CLEARANCE_PX
        circle = middle + reach * np.column_stack([np.cos(turn), np.sin(turn)])
        canvas.dashed_line(circle, colour, CLOSE_UP_LINE_PX, CLOSE_UP_HALO_PX, _DASH_PX, _GAP_PX, closed=True)
    mm_per_px = None if facts.mm_per_px is None else facts.mm_per_px / scale
    return with_scale_strip(canvas.rgb, mm_per_px, 1 / (facts.width_px * scale))
