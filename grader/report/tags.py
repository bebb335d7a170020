"""Numbered tags: each kind of mark has a shape of its own, so that hue alone tells nothing."""

import math

import numpy as np

from calib.arrays import FloatArray
from grader.marks.mark import MarkKind
from grader.report.canvas import Canvas, Text
from grader.report.constants import COLOURS, FINE_LINE_U, INK, PAPER, TAG_RADIUS_U, TAG_SIZE_U


def tag_outline(kind: MarkKind) -> FloatArray:
    """Return the shape of a kind's tag about (0, 0), shape (N, 2), about one unit to each side; y down."""
    if kind == MarkKind.SCRATCH:
        return np.array([[-1.15, -0.72], [1.15, -0.72], [1.15, 0.72], [-1.15, 0.72]])
    if kind == MarkKind.CHIP:
        return np.array([[0.0, -1.35], [1.4, 0.95], [-1.4, 0.95]])
    if kind == MarkKind.BRUISE:
        return np.array([[0.0, -1.2], [1.2, 0.0], [0.0, 1.2], [-1.2, 0.0]])
    corners, start = (5, -math.pi / 2) if kind == MarkKind.DUST else (48, 0.0)
    turn = start + 2 * math.pi * np.arange(corners) / corners
    reach = 1.25 if kind == MarkKind.DUST else 0.95
    return reach * np.column_stack([np.cos(turn), np.sin(turn)])


def draw_mark_tag(
    canvas: Canvas, at: tuple[float, float], kind: MarkKind, number: str, unit: float, *, is_possible: bool
) -> Text:
    """Draw a kind's tag and return its number, to be written later; white with a coloured dashed edge if possible."""
    points = np.array(at) + TAG_RADIUS_U * unit * tag_outline(kind)
    width = FINE_LINE_U * unit
    colour = COLOURS[kind]
    if is_possible:
        canvas.shape(points, PAPER, PAPER, width)
        canvas.dashed_line(points, colour, 2.0 * width, 3.0 * width, 7.0 * unit, 5.0 * unit, closed=True)
    else:
        canvas.shape(points, colour, INK, width)
    # A triangle's number sits low, where there is room for it.
    down = 0.3 * TAG_RADIUS_U * unit if kind == MarkKind.CHIP else 0.0
    size = TAG_SIZE_U * unit * (1.0 if len(number) < 3 else 0.75) * (0.92 if kind == MarkKind.CHIP else 1.0)
    return Text((at[0], at[1] + down), number, size, INK, 'mm')


def draw_letter_tag(canvas: Canvas, at: tuple[float, float], letter: str, unit: float) -> Text:
    """Draw the tag of an unseen part, a white octagon, and return its letter."""
    turn = math.pi / 8.0 + math.pi / 4.0 * np.arange(8)
    corners = 0.95 * np.column_stack([np.cos(turn), np.sin(turn)])
    canvas.shape(np.array(at) + TAG_RADIUS_U * unit * corners, PAPER, INK, FINE_LINE_U * unit)
    return Text(at, letter, TAG_SIZE_U * unit, INK, 'mm')
