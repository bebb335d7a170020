"""Signs of changes: each has a shape of its own, so that hue alone tells nothing."""

import math

import numpy as np

from calib.arrays import FloatArray
from grader.compare.change import ChangeName
from grader.report.canvas import Canvas, Text
from grader.report.compare_constants import CHANGE_COLOURS, SIGN_RADIUS_U
from grader.report.constants import FINE_LINE_U, INK, PAPER, TAG_SIZE_U

OPEN_CHANGES: tuple[ChangeName, ...] = ('not visible then', 'not visible now')
"""Changes of which one side tells nothing: their signs are white."""


def sign_outline(change: ChangeName) -> FloatArray:
    """Return the shape of a change's sign about (0, 0), shape (N, 2), about one unit to each side; y down."""
    if change == 'new':
        turn = math.pi * np.arange(24) / 12 - math.pi / 2
        reach = np.where(np.arange(24) % 2 == 0, 1.4, 1.05)
        return np.asarray(reach[:, None] * np.column_stack([np.cos(turn), np.sin(turn)]))
    if change == 'grown':
        return np.array([[0.0, -1.45], [1.15, -0.45], [1.15, 1.0], [-1.15, 1.0], [-1.15, -0.45]])
    if change == 'gone':
        return np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    if change == 'unchanged':
        turn = 2 * math.pi * np.arange(48) / 48
        return 0.95 * np.column_stack([np.cos(turn), np.sin(turn)])
    corners, start = (3, -math.pi / 2) if change == 'not visible then' else (3, math.pi / 2)
    turn = start + 2 * math.pi * np.arange(corners) / corners
    return 1.7 * np.column_stack([np.cos(turn), np.sin(turn)])


def draw_sign(
    canvas: Canvas, at: tuple[float, float], change: ChangeName, number: str, unit: float, *, is_possible: bool
) -> Text:
    """Draw a change's sign and return its number, to be written later; with a dashed edge if less likely than not."""
    points = np.array(at) + SIGN_RADIUS_U * unit * sign_outline(change)
    width, colour = FINE_LINE_U * unit, CHANGE_COLOURS[change]
    fill = PAPER if is_possible or change in OPEN_CHANGES else colour
    _fill(canvas, at, points, fill, colour if fill == PAPER else INK, width, is_dashed=is_possible)
    # A triangle's number sits where there is room for it.
    down = {'not visible then': 0.32, 'not visible now': -0.32, 'grown': 0.15}.get(change, 0.0)
    size = TAG_SIZE_U * unit * (0.92 if len(number) < 3 else 0.72)
    return Text((at[0], at[1] + down * SIGN_RADIUS_U * unit), number, size, INK, 'mm')


def _fill(
    canvas: Canvas, at: tuple[float, float], points: FloatArray, fill: tuple[int, int, int],
    edge: tuple[int, int, int], width: float, *, is_dashed: bool,
) -> None:  # fmt: skip
    """Fill a star triangle by triangle, since only convex shapes can be filled at once; draw its edge."""
    for a, b in zip(points, np.roll(points, -1, axis=0), strict=True):
        canvas.shape(np.array([at, a, b]), fill, fill, width)
    if is_dashed:
        canvas.dashed_line(points, edge, 1.5 * width, 2.5 * width, 3.0 * width, 2.5 * width, closed=True)
    else:
        canvas.halo_line(points, edge, 1.5 * width, 2.5 * width, closed=True)
