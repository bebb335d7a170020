"""The line drawn round a mark: a little off it, so that the mark itself stays in sight."""

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx


def lines_round(outline: PointsPx, clearance: float, least_radius: float) -> tuple[FloatArray, ...]:
    """Return closed lines at a distance round an outline, each (M, 2), the longest first.

    Parameters
    ----------
    outline : ndarray of shape (N, 2)
        Closed outline of the mark, in the picture.
    clearance : float
        Distance from the outline to the line, px.
    least_radius : float
        Marks smaller than this get a circle of this radius, px.
    """
    outline = np.asarray(outline, dtype=np.float64).reshape(-1, 2)
    middle = (outline.min(axis=0) + outline.max(axis=0)) / 2.0
    reach = float(np.hypot(*(outline - middle).T).max())
    if reach + clearance <= least_radius:
        turn = 2.0 * np.pi * np.arange(40) / 40
        return (middle + least_radius * np.column_stack([np.cos(turn), np.sin(turn)]),)
    return _grown(outline, clearance)


def _grown(outline: PointsPx, clearance: float) -> tuple[FloatArray, ...]:
    """Outer borders of the outline's area grown by `clearance`, by the distance from it on a local pixel grid."""
    pad = int(np.ceil(clearance)) + 3
    corner = np.floor(outline.min(axis=0)).astype(int) - pad
    size = np.ceil(outline.max(axis=0)).astype(int) + pad + 1 - corner
    area = np.full((size[1], size[0]), 255, dtype=np.uint8)
    local = np.round(outline - corner).astype(np.int32).reshape(-1, 1, 2)
    cv2.fillPoly(area, [local], 0)
    cv2.polylines(area, [local], True, 0, 1)
    apart = cv2.distanceTransform(area, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    borders, _ = cv2.findContours((apart <= clearance).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    lines = [_smoothed(border.reshape(-1, 2).astype(np.float64)) + corner for border in borders]
    return tuple(sorted(lines, key=len, reverse=True))


def _smoothed(line: FloatArray) -> FloatArray:
    """The mean of five neighbours along a closed line (N, 2), which takes off the steps of the pixel grid."""
    return np.asarray(sum(np.roll(line, shift, axis=0) for shift in range(-2, 3)) / 5.0)
