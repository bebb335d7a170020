"""Places for labels on rings round the piece: near their marks, in the marks' order, never one over another."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.report.constants import RING_FILL, RINGS_MOST


@dataclass(frozen=True, slots=True)
class RingPlace:
    """Where a label stands."""

    ring: int
    """Which ring, 0 the innermost."""
    angle_rad: float
    """Direction from the middle, from +x to +y."""


def place_on_rings(
    wanted_rad: Sequence[float], widths_px: Sequence[float], radius_px: float, ring_step_px: float
) -> tuple[RingPlace, ...]:
    """Return a place for each label, in the order given.

    Labels take turns among as many rings as they need, going round. On each ring they keep their order and lie as
    near as can be to where they want to be.

    Parameters
    ----------
    wanted_rad : sequence of float
        Direction of each label's mark from the middle.
    widths_px : sequence of float
        Room that each label needs along its ring.
    radius_px, ring_step_px : float
        Radius of the first ring and distance to the next.
    """
    if not wanted_rad:
        return ()
    n_rings = rings_needed(sum(widths_px), radius_px)
    order = sorted(range(len(wanted_rad)), key=lambda i: (wanted_rad[i] % (2 * math.pi), i))
    places: dict[int, RingPlace] = {}
    for ring in range(n_rings):
        mine = order[ring::n_rings]
        room_rad = [widths_px[i] / (radius_px + ring * ring_step_px) for i in mine]
        angles = spread_on_circle([wanted_rad[i] for i in mine], room_rad)
        places |= {i: RingPlace(ring, float(angle)) for i, angle in zip(mine, angles, strict=True)}
    return tuple(places[i] for i in range(len(wanted_rad)))


def spread_on_circle(wanted_rad: Sequence[float], room_rad: Sequence[float]) -> FloatArray:
    """Return angles, shape (N,), near the wanted ones, in their order round the circle, each with its room.

    Least squares under the order: the circle is cut at its widest gap, rooms are taken out, what is left is made
    ascending by pooling neighbours, and rooms are put back. Rooms that do not fit on the circle shrink alike.

    Parameters
    ----------
    wanted_rad : sequence of float
        Directions; they need not be sorted.
    room_rad : sequence of float
        Full angle that each needs.
    """
    n = len(wanted_rad)
    if n == 0:
        return np.zeros(0)
    turned = np.mod(np.asarray(wanted_rad, dtype=np.float64), 2 * math.pi)
    order = np.argsort(turned, kind='stable')
    gaps = np.diff(np.concatenate([turned[order], [turned[order[0]] + 2 * math.pi]]))
    order = np.roll(order, -(int(np.argmax(gaps)) + 1) % n)
    cut = turned[order[0]]
    line = np.mod(turned[order] - cut, 2 * math.pi)
    room = np.asarray(room_rad, dtype=np.float64)[order]
    room = room * min(1.0, 2 * math.pi / room.sum())
    before = np.cumsum(room) - room / 2
    free = _ascending(line - before)
    slack = 2 * math.pi - room.sum()
    low = free.mean() - slack / 2
    placed = np.empty(n)
    placed[order] = np.clip(free, low, low + slack) + before + cut
    return np.mod(placed, 2 * math.pi)


def rings_needed(width_px: float, radius_px: float) -> int:
    """Rings that labels of this width in all need; each takes its even share, so the innermost decides."""
    for n_rings in range(1, RINGS_MOST + 1):
        if width_px / n_rings <= RING_FILL * 2 * math.pi * radius_px:
            return n_rings
    return RINGS_MOST


def _ascending(values: FloatArray) -> FloatArray:
    """Nearest ascending values in least squares, shape (N,): neighbours out of order share their mean."""
    means: list[float] = []
    counts: list[int] = []
    for value in values:
        means.append(float(value))
        counts.append(1)
        while len(means) > 1 and means[-2] > means[-1]:
            total = means[-2] * counts[-2] + means[-1] * counts[-1]
            counts[-2:] = [counts[-2] + counts[-1]]
            means[-2:] = [total / counts[-1]]
    return np.repeat(means, counts)
