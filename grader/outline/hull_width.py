"""Widths of a closed shape between parallel lines, as a caliper takes them."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.outline.constants import CALIPER_DIRECTIONS


@dataclass(frozen=True, slots=True, eq=False)
class HullWidths:
    """Largest and smallest caliper width of a closed shape, in the shape's own unit."""

    largest: float
    """Largest width."""
    smallest: float
    """Smallest width."""
    largest_deg: float
    """Direction across which the largest width is taken, 0 to 180, from +x to the frame's +y."""
    smallest_deg: float
    """The same of the smallest width."""
    largest_ends: FloatArray
    """(2, 2) the two points of the shape that touch the caliper at its largest width."""
    smallest_ends: FloatArray
    """(2, 2) the same of the smallest width."""


def hull_widths(polygon: FloatArray) -> HullWidths:
    """Caliper widths of a closed polygon (N, 2), over CALIPER_DIRECTIONS directions."""
    turn = np.arange(CALIPER_DIRECTIONS) * np.pi / CALIPER_DIRECTIONS
    across = np.column_stack([np.cos(turn), np.sin(turn)])
    reach = polygon @ across.T
    high, low = reach.argmax(axis=0), reach.argmin(axis=0)
    columns = np.arange(CALIPER_DIRECTIONS)
    widths = reach[high, columns] - reach[low, columns]
    most, least = int(widths.argmax()), int(widths.argmin())
    return HullWidths(
        largest=float(widths[most]),
        smallest=float(widths[least]),
        largest_deg=float(np.degrees(turn[most])),
        smallest_deg=float(np.degrees(turn[least])),
        largest_ends=polygon[[low[most], high[most]]],
        smallest_ends=polygon[[low[least], high[least]]],
    )
