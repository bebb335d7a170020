"""Tags round the piece with their leader lines, and the words in the picture's corners."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from calib.arrays import FloatArray
from grader.report.canvas import Canvas, Text, text_width
from grader.report.constants import (
    COLOURS,
    CORNER_PAD_U,
    LINE_GAP,
    PAPER,
    RING_STEP_U,
    RING_U,
    TAG_GAP_U,
    TAG_RADIUS_U,
    TEXT_SIZE_U,
    UNITS_PER_PIECE,
)
from grader.report.label_ring import place_on_rings, rings_needed
from grader.report.picture_frame import PictureFrame
from grader.report.shown import ShownMark, ShownUnseen
from grader.report.tags import draw_letter_tag, draw_mark_tag

TAG_ROOM_U = 2.8 * TAG_RADIUS_U + TAG_GAP_U
"""Room that a tag needs along its ring."""
LEADER_ROOM_U = 20.0
"""Room that a line to a corner needs where it crosses the rings."""


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """Something that wants a place on the rings."""

    near: FloatArray
    """Points of the picture, (N, 2), to the nearest of which the leader runs."""
    wanted_rad: float
    """Direction in which it wants to lie."""
    room_u: float
    """Room along the ring."""


def ring_margin_u(n_tags: int) -> float:
    """Return the room outside the circle round the piece that so many tags need, to the middle of the last ring."""
    room_u = n_tags * TAG_ROOM_U + 2 * LEADER_ROOM_U
    n_rings = rings_needed(room_u, UNITS_PER_PIECE / 2 + RING_U)
    return RING_U + (n_rings - 1) * RING_STEP_U


def draw_labels(
    canvas: Canvas,
    shown: Sequence[ShownMark],
    lines: Sequence[FloatArray],
    groups: Sequence[ShownUnseen],
    corner_labels: Sequence['CornerWords'],
    frame: PictureFrame,
) -> list[Text]:
    """Draw leaders and tags of marks and unseen parts, and lines to the words in the corners; return all texts.

    Parameters
    ----------
    canvas : Canvas
    shown, lines
        Marks, and the line drawn round each.
    groups
        Unseen parts.
    corner_labels
        Words in corners.
    frame : PictureFrame
    """
    labels = [_label_of_line(line, frame) for line in lines]
    labels += [_label_of_unseen(group, labels, frame) for group in groups]
    labels += [_label_of_corner(words, frame) for words in corner_labels]
    places = _places(labels, frame)
    n_tags = len(shown) + len(groups)
    for label, place, one in zip(labels, places, shown, strict=False):
        _draw_leader(canvas, label.near, place, COLOURS[one.mark.kind], frame.unit)
    for label, place in zip(labels[len(shown) : n_tags], places[len(shown) : n_tags], strict=True):
        _draw_leader(canvas, label.near, place, PAPER, frame.unit)
    for words, place in zip(corner_labels, places[n_tags:], strict=True):
        beyond = frame.on_circle(frame.direction(place), ring_margin_u(n_tags) + 1.5 * TAG_RADIUS_U)
        path = [words.tail, place, beyond, words.box.nearest(beyond)]
        canvas.halo_line(path, PAPER, 1.6 * frame.unit, 4.0 * frame.unit)
    texts = [text for words in corner_labels for text in words.draw(canvas, frame.unit)]
    for one, place in zip(shown, places, strict=False):
        texts.append(
            draw_mark_tag(canvas, place, one.mark.kind, str(one.number), frame.unit, is_possible=one.is_possible)
        )
    texts += [
        draw_letter_tag(canvas, place, group.letter, frame.unit)
        for group, place in zip(groups, places[len(shown) : n_tags], strict=True)
    ]
    return texts


@dataclass(frozen=True, slots=True)
class CornerBox:
    """A box in a corner of the picture, in its pixels."""

    x0: float
    y0: float
    x1: float
    y1: float

    def nearest(self, point: tuple[float, float]) -> tuple[float, float]:
        """Return the point of the box nearest to a point."""
        return min(max(point[0], self.x0), self.x1), min(max(point[1], self.y0), self.y1)


@dataclass(frozen=True, slots=True)
class CornerWords:
    """Words in a corner, and what in the picture they are about."""

    lines: tuple[str, ...]
    box: CornerBox
    tail: tuple[float, float]
    """Where the line to them starts."""

    def draw(self, canvas: Canvas, unit: float) -> list[Text]:
        """Lighten the box; return the words."""
        canvas.wash((self.box.x0, self.box.y0, self.box.x1, self.box.y1), PAPER, 0.8)
        left = self.box.x0 + CORNER_PAD_U * unit
        top = self.box.y0 + CORNER_PAD_U * unit
        size = TEXT_SIZE_U * unit
        return [Text((left, top + (k + 0.5) * LINE_GAP * size), line, size) for k, line in enumerate(self.lines)]


def corner_box(lines: Sequence[str], is_left: bool, is_top: bool, frame: PictureFrame) -> CornerBox:
    """Return the box in a corner that holds lines of text."""
    unit = frame.unit
    wide = max(text_width(line, TEXT_SIZE_U * unit) for line in lines) + 2.0 * CORNER_PAD_U * unit
    high = (len(lines) * LINE_GAP * TEXT_SIZE_U + 2.0 * CORNER_PAD_U) * unit
    x0 = 0.0 if is_left else frame.shown_px - wide
    y0 = 0.0 if is_top else frame.shown_px - high
    return CornerBox(x0, y0, x0 + wide, y0 + high)


def place_in_corners(words: Sequence[tuple[Sequence[str], FloatArray]], frame: PictureFrame) -> tuple[CornerWords, ...]:
    """Return words, each with the tails (2, 2) of its arrows, in the free corners nearest to one of their tails.

    The bottom-left corner is kept for the scale bar.
    """
    free = [(True, True), (False, True), (False, False)]
    placed = []
    for lines, tails in words:
        boxes = {corner: corner_box(lines, *corner, frame) for corner in free}
        corner, tail = min(
            product(free, tails), key=lambda pair: math.dist(boxes[pair[0]].nearest(tuple(pair[1])), tuple(pair[1]))
        )
        free.remove(corner)
        placed.append(CornerWords(tuple(lines), boxes[corner], (float(tail[0]), float(tail[1]))))
    return tuple(placed)


def _label_of_line(line: FloatArray, frame: PictureFrame) -> Label:
    x, y = (line.min(axis=0) + line.max(axis=0)) / 2.0
    return Label(line, frame.direction((float(x), float(y))), TAG_ROOM_U)


def _label_of_unseen(group: ShownUnseen, others: Sequence[Label], frame: PictureFrame) -> Label:
    """Label near the largest part; a part round the middle, or all round the rim, takes the widest free direction."""
    points = frame.to_picture(group.areas[0].polygon_px)
    x, y = points.mean(axis=0)
    if math.dist((x, y), frame.centre) > frame.radius / 4.0:
        return Label(points, frame.direction((float(x), float(y))), TAG_ROOM_U)
    return Label(points, widest_gap([label.wanted_rad for label in others]), TAG_ROOM_U)


def widest_gap(angles_rad: Sequence[float]) -> float:
    """Return the middle of the widest gap between directions; the upper right if there are none."""
    if not angles_rad:
        return -math.pi / 4.0
    turned = sorted(angle % (2.0 * math.pi) for angle in angles_rad)
    gaps = [b - a for a, b in zip(turned, [*turned[1:], turned[0] + 2.0 * math.pi], strict=True)]
    widest = max(range(len(gaps)), key=lambda i: gaps[i])
    return turned[widest] + gaps[widest] / 2.0


def _label_of_corner(words: CornerWords, frame: PictureFrame) -> Label:
    """Label for the line to a corner, which goes straight out between the tags."""
    return Label(np.array([words.tail]), frame.direction(words.tail), LEADER_ROOM_U)


def _places(labels: Sequence[Label], frame: PictureFrame) -> list[tuple[float, float]]:
    unit = frame.unit
    rings = place_on_rings(
        [label.wanted_rad for label in labels],
        [label.room_u * unit for label in labels],
        frame.radius + RING_U * unit,
        RING_STEP_U * unit,
    )
    return [frame.on_circle(place.angle_rad, RING_U + place.ring * RING_STEP_U) for place in rings]


def _draw_leader(
    canvas: Canvas, near: FloatArray, tag: tuple[float, float], colour: tuple[int, int, int], unit: float
) -> None:
    """Draw a line from the nearest of some points to a tag."""
    apart = np.hypot(near[:, 0] - tag[0], near[:, 1] - tag[1])
    start = near[int(np.argmin(apart))]
    canvas.halo_line([start, tag], colour, 1.3 * unit, 3.2 * unit)
