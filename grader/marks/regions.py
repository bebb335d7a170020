"""Cuts the odds of each pixel into regions, one region a mark."""

from dataclasses import dataclass

import cv2
import numpy as np
from scipy import ndimage

from grader.marks.constants import LOW_ODDS, MIN_REGION_PX, PEAK_ODDS
from grader.marks.mark import MarkKind
from grader.marks.mark_net import NETWORK_KINDS

LINE_KINDS = (MarkKind.SCRATCH, MarkKind.DUST)
SPOT_KINDS = (MarkKind.CHIP, MarkKind.BUBBLE, MarkKind.BRUISE)


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """Pixels that belong to one mark, in the crop."""

    rows: np.ndarray
    """Row of each pixel, int (N,)."""
    columns: np.ndarray
    """Column of each pixel, int (N,)."""
    odds: np.ndarray
    """Network odds of each kind at each pixel, float32 (5, N)."""

    def kind_odds(self) -> np.ndarray:
        """Share of each kind in the region's odds, float64 (5,), summing to 1."""
        total = self.odds.sum(axis=1, dtype=np.float64)
        return np.asarray(total / total.sum())

    def mask(self, margin_px: int = 2) -> tuple[np.ndarray, tuple[int, int]]:
        """Small uint8 mask of the region and the crop px (x, y) of its top-left pixel."""
        x0, y0 = int(self.columns.min()) - margin_px, int(self.rows.min()) - margin_px
        shape = (int(self.rows.max()) - y0 + margin_px + 1, int(self.columns.max()) - x0 + margin_px + 1)
        mask = np.zeros(shape, np.uint8)
        mask[self.rows - y0, self.columns - x0] = 1
        return mask, (x0, y0)


def find_regions(odds: np.ndarray) -> tuple[Region, ...]:
    """Regions of likely marks, largest peak first.

    Line kinds and spot kinds are cut apart, so that a scratch that runs into a chip stays a scratch;
    within each group the region is one and its kind is decided by the sum of the odds.

    Parameters
    ----------
    odds : ndarray of shape (5, H, W), float32
        In the order of ``NETWORK_KINDS``.
    """
    lines = odds[[NETWORK_KINDS.index(k) for k in LINE_KINDS]].max(axis=0)
    spots = odds[[NETWORK_KINDS.index(k) for k in SPOT_KINDS]].max(axis=0)
    found = _cut(np.where(lines >= spots, lines, 0), odds) + _cut(np.where(spots > lines, spots, 0), odds)
    return tuple(sorted(found, key=lambda r: (-float(r.odds.max()), int(r.rows[0]), int(r.columns[0]))))


def _cut(strength: np.ndarray, odds: np.ndarray) -> list[Region]:
    """Connected regions above the low odds that hold a peak (hysteresis)."""
    labels, n = ndimage.label(strength > LOW_ODDS, structure=np.ones((3, 3)))
    if not n:
        return []
    numbers = np.arange(1, n + 1)
    peaks = ndimage.maximum(strength, labels, numbers)
    out = []
    for number, window in zip(numbers, ndimage.find_objects(labels), strict=True):
        if peaks[number - 1] < PEAK_ODDS:
            continue
        rows, columns = np.nonzero(labels[window] == number)
        if len(rows) < MIN_REGION_PX:
            continue
        rows, columns = rows + window[0].start, columns + window[1].start
        out.append(Region(rows, columns, odds[:, rows, columns]))
    return out


def region_outline(region: Region) -> np.ndarray:
    """Closed outline of a region in crop px, float64 (N, 2): its outer border, through pixel edges."""
    mask, (x0, y0) = region.mask()
    # twice as fine, so that the border runs half a pixel outside the outermost pixel centres
    fine = cv2.resize(mask, None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
    contours, _ = cv2.findContours(fine, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    outline = max(contours, key=cv2.contourArea)[:, 0].astype(np.float64)
    return (outline - 0.5) / 2 + (x0, y0)
