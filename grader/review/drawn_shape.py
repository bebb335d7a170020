"""A drawing's points: do they make an outline, and how long and large is it, in the photo or on the glass."""

import math
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsPx
from grader.errors import SettingsInvalid
from grader.review.acts import Drawing
from grader.review.constants import BAND_ELONGATION, LEAST_AREA_PX2


@dataclass(frozen=True, slots=True)
class LoopSize:
    """Size of a closed outline, in the unit of its points."""

    length: float
    width: float
    area: float

    @property
    def diameter(self) -> float:
        """Of the disc of equal area."""
        return 2.0 * math.sqrt(self.area / math.pi)


def check_drawing(drawing: Drawing, size_px: tuple[int, int]) -> None:
    """Check that a drawing lies in its photo and does not cross itself.

    Parameters
    ----------
    drawing : Drawing
    size_px : tuple of int
        Width and height of the photo.

    Raises
    ------
    SettingsInvalid
        If it does not.
    """
    points, (width_px, height_px) = np.array(drawing.points_px), size_px
    outside = (points < -0.5).any(axis=1) | (points > (width_px - 0.5, height_px - 0.5)).any(axis=1)
    if outside.any():
        x, y = points[int(np.argmax(outside))]
        raise SettingsInvalid(
            f"The point {x:g},{y:g} lies outside of the photo {drawing.photo}, which is {width_px} x {height_px} px.",
            "Give points x,y of the photo itself, counted from its top left, and not of the annotated picture.",
        )
    if drawing.shape == 'line':
        if not np.hypot(*np.diff(points, axis=0).T).sum() > 0.0:
            raise SettingsInvalid("The line has no length: all its points are the same.", "Give two unlike points.")
        return
    crossing = first_crossing(points)
    if crossing is not None:
        raise SettingsInvalid(
            f"The outline crosses itself: its sides {crossing[0] + 1} and {crossing[1] + 1} meet.",
            "Give the points in the order in which they go round the mark, each once.",
        )
    if loop_area(points) < LEAST_AREA_PX2:
        raise SettingsInvalid(
            "The outline holds less than a pixel.", "Draw it a little larger, or give a scratch with --line."
        )


def first_crossing(points: PointsPx) -> tuple[int, int] | None:
    """Numbers, from 0, of the first two sides of a closed polygon (N, 2) that meet without being neighbours."""
    n = len(points)
    ends = np.roll(points, -1, axis=0)
    for i in range(n):
        for j in range(i + 1, n):
            if j == i + 1 or (i == 0 and j == n - 1):
                continue
            if _meet(points[i], ends[i], points[j], ends[j]):
                return i, j
    return None


def band_round(line: PointsPx, width_px: float) -> PointsPx:
    """Closed outline (2 N, 2) of a line (N, 2) of some width."""
    steps = np.diff(line, axis=0)
    steps = steps[np.hypot(*steps.T) > 0.0]
    kept = np.vstack([line[:1], line[:1] + np.cumsum(steps, axis=0)])
    along = steps / np.hypot(*steps.T)[:, None]
    at = np.vstack([along[:1], along[:-1] + along[1:], along[-1:]])
    at /= np.maximum(np.hypot(*at.T), 1e-9)[:, None]
    off = 0.5 * width_px * np.column_stack([-at[:, 1], at[:, 0]])
    return np.asarray(np.vstack([kept + off, (kept - off)[::-1]]))


def loop_area(points: PointsPx) -> float:
    """Area inside a closed polygon (N, 2)."""
    x, y = (points - points[0]).T
    return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def loop_size(points: FloatArray, area: float) -> LoopSize:
    """Size of a closed outline.

    A long outline is taken as a band, whose length and width follow from its way round and its area, bent or not;
    any other as long as its two points furthest apart, and as wide as the ellipse of equal area.

    Parameters
    ----------
    points : ndarray of shape (N, 2) or (N, 3)
        Close enough for the way round to be that along the points.
    area : float
    """
    half = 0.5 * float(np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1).sum())
    under = half**2 - 4.0 * area
    if under > 0.0:
        length = 0.5 * (half + math.sqrt(under))
        if length >= BAND_ELONGATION * area / length:
            return LoopSize(length, area / length, area)
    every = points[:: max(len(points) // 200, 1)]
    reach = float(np.linalg.norm(every[:, None] - every[None], axis=-1).max())
    return LoopSize(reach, 4.0 * area / (math.pi * reach), area)


def with_points_between(points: PointsPx, step_px: float, *, closed: bool) -> PointsPx:
    """The same line (N, 2) with points every `step_px` or closer, (M, 2)."""
    ends = np.roll(points, -1, axis=0) if closed else points[1:]
    parts = []
    for start, end in zip(points, ends, strict=False):
        n = max(math.ceil(float(np.hypot(*(end - start))) / step_px), 1)
        parts.append(start + (end - start) * (np.arange(n) / n)[:, None])
    return np.vstack(parts if closed else [*parts, points[-1:]])


def _meet(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> bool:
    """Whether the sides a-b and c-d have a point in common."""
    turns = (_turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b))
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    pairs = ((a, b, c), (a, b, d), (c, d, a), (c, d, b))
    return any(turn == 0 and _within(*pair) for turn, pair in zip(turns, pairs, strict=True))


def _turn(a: FloatArray, b: FloatArray, c: FloatArray) -> int:
    """Side of the line a-b on which c lies: -1, 0 or 1."""
    return int(np.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])))


def _within(a: FloatArray, b: FloatArray, c: FloatArray) -> bool:
    """Whether c, on the line a-b, lies between them."""
    return bool((np.minimum(a, b) <= c).all() and (c <= np.maximum(a, b)).all())
