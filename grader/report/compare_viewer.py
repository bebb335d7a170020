"""The pictures of the page: two photos registered to one another, and close-ups of each change from both sides."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.compare.change import Change
from grader.compare.sides import Side
from grader.comparison import ChangeFacts
from grader.comparison_build import Compared
from grader.report.clock_frame import ClockFrame, draw_turned, frame_by_clock, window_of
from grader.report.compare_constants import (
    CLOSE_UP_LEAST_RATIO,
    CLOSE_UP_PX,
    CLOSE_UP_REACH,
    CLOSE_UP_SHOWN_RATIO,
    CLOSE_UPS_MOST,
    VIEWER_LINE_POINTS,
    VIEWER_MARGIN_RATIO,
    VIEWER_MOST_PX,
    VIEWER_PX,
)
from grader.report.compare_places import ShownChange, drawn_facts, places_in, shown_pair, standing
from grader.report.constants import MARK_CLEARANCE_U, MARK_LEAST_RADIUS_U, PAPER, UNITS_PER_PIECE
from grader.report.mark_shapes import lines_round
from grader.report.registered import StandingPhoto, draw_over, gain_to, inside_outline, with_gain


@dataclass(frozen=True, slots=True, eq=False)
class ViewerLine:
    """A change in the viewer."""

    shown: ShownChange
    line: FloatArray
    """Closed line (N, 2) in the viewer's px."""


@dataclass(frozen=True, slots=True, eq=False)
class Viewer:
    """Two photos registered to one another."""

    before: RgbImage
    """(S, S, 3) the earlier photo, carried over the dome to the later one's place and made as light."""
    after: RgbImage
    """(S, S, 3)"""
    lines: tuple[ViewerLine, ...]
    gain: float
    """By how much the earlier photo was made lighter."""
    pair: tuple[int, int]
    """Numbers of the two photos."""
    piece_px: float
    """Width of the circle round the piece."""


@dataclass(frozen=True, slots=True, eq=False)
class CloseUp:
    """One change as both sides show its place."""

    facts: ChangeFacts
    before: RgbImage | None
    """(N, N, 3); None where no earlier photo shows the place."""
    after: RgbImage | None
    before_photo: str
    after_photo: str


def make_viewer(compared: Compared) -> Viewer:
    """Return the two photos for slider and blinking."""
    pair = shown_pair(compared)
    before, after = standing(compared, 'before', pair[0]), standing(compared, 'after', pair[1])
    piece_px = _piece_px(after)
    frame = frame_by_clock(after.photo, after.turn, piece_px, VIEWER_MARGIN_RATIO * UNITS_PER_PIECE)
    inside = inside_outline(after.photo, frame)
    own = draw_turned(after.photo.findings.view.photo.rgb, frame)
    later = np.where(inside[..., None], own, np.array(PAPER, dtype=np.uint8)).astype(np.uint8)
    earlier, shown = draw_over(before, after, frame)
    gain = gain_to(earlier, later, shown)
    earlier = np.where(shown[..., None], with_gain(earlier, gain), np.array(PAPER, dtype=np.uint8)).astype(np.uint8)
    lines = tuple(_line(one, frame) for one in places_in(compared, 'after', pair[1]))
    return Viewer(earlier, later, lines, gain, pair, piece_px)


def _piece_px(photo: StandingPhoto) -> float:
    """Width of the piece in the pictures: that which it has in the photo, as far as they may be so large."""
    _, radius_px = cv2.minEnclosingCircle(np.asarray(photo.photo.surface.contour_px, dtype=np.float32))
    room = 1 + 2 * VIEWER_MARGIN_RATIO
    return float(np.clip(2 * radius_px * room, VIEWER_PX, VIEWER_MOST_PX)) / room


def make_close_ups(compared: Compared, viewer: Viewer) -> tuple[CloseUp, ...]:
    """Return both sides' pictures of the place of each drawn change."""
    return tuple(_close_up(compared, facts, change, viewer) for facts, change in drawn_facts(compared)[:CLOSE_UPS_MOST])


def _line(shown: ShownChange, frame: ClockFrame) -> ViewerLine:
    unit = 2 * frame.radius / UNITS_PER_PIECE
    line = lines_round(frame.to_picture(shown.outline_px), MARK_CLEARANCE_U * unit, 1.4 * MARK_LEAST_RADIUS_U * unit)[0]
    return ViewerLine(shown, line[:: max(len(line) // VIEWER_LINE_POINTS, 1)])


def _close_up(compared: Compared, facts: ChangeFacts, change: Change, viewer: Viewer) -> CloseUp:
    own_side = change.best.side
    other_side: Side = 'after' if own_side == 'before' else 'before'
    look = change.other_look.photo
    other = viewer.pair[0 if other_side == 'before' else 1] if look is None else look
    here, there = standing(compared, own_side, change.best.photo), standing(compared, other_side, other)
    frame = _window_round(change, here)
    own = draw_turned(here.photo.findings.view.photo.rgb, frame)
    drawn, shown = draw_over(there, here, frame)
    is_shown = shown.mean() >= CLOSE_UP_SHOWN_RATIO
    pictures = {own_side: own, other_side: drawn if is_shown else None}
    numbers = {own_side: change.best.photo, other_side: other}
    names = {own_side: here.photo.name, other_side: there.photo.name}
    before = pictures['before']
    if before is not None and (numbers['before'], numbers['after']) == viewer.pair:
        before = with_gain(before, viewer.gain)
    return CloseUp(facts, before, pictures['after'], names['before'], names['after'])


def _window_round(change: Change, here: StandingPhoto) -> ClockFrame:
    """Window round a mark in its best photo, turned to the main photo's clock."""
    frame = frame_by_clock(here.photo, here.turn, float(VIEWER_PX), 0.0)
    outline = change.best.outline_px
    middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
    piece_px = 2 * frame.radius / frame.scale
    width_px = max(CLOSE_UP_REACH * float(np.ptp(outline, axis=0).max()), CLOSE_UP_LEAST_RATIO * piece_px)
    return window_of(frame, middle, min(width_px, piece_px), CLOSE_UP_PX)
