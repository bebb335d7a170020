"""Finds marks on a close-up of glass, without card and without outline, under any light."""

import cv2
import numpy as np

from calib.arrays import RgbImage
from grader.marks.close_up_constants import LARGEST_CLOSE_UP_PX, SMALLEST_CLOSE_UP_PX
from grader.marks.close_up_ground import see_ground
from grader.marks.close_up_join import join_pieces
from grader.marks.close_up_judge import CloseUpKind, CloseUpMark, judge
from grader.marks.close_up_lines import find_segments, line_evidence
from grader.marks.close_up_patches import find_patches, find_spots
from grader.marks.close_up_settle import cover_of, settle
from grader.marks.close_up_traces import trace_lines

__all__ = ['CloseUpKind', 'CloseUpMark', 'find_close_up_marks']

_HALO_PX = 2  # Source: reach of the spots' blur beyond a mark that is already told


def find_close_up_marks(rgb: RgbImage) -> tuple[CloseUpMark, ...]:
    """Scratches, contusions and spots on a close-up, the surest first; empty where nothing stands out.

    1. The undamaged glass is estimated from the photo: a smooth background that haze may bend and marks may not,
       and the local noise, which includes the fine texture of the glass.
    2. Broad marks are cut out at levels that suit their own strength.
    3. Thin lines are found by oriented filters of both signs in units of their own local spread, traced along
       their ridges and joined over gaps.
    4. What is told twice is settled, and compact spots are looked for in what is left.
    5. Each mark is judged by its squared signal-to-noise ratio.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
        Photos larger than LARGEST_CLOSE_UP_PX are reduced for the search; polygons are in px of this array.
    """
    if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype != np.uint8:
        raise ValueError(f'rgb must be uint8 of shape (H, W, 3), got {rgb.dtype} {rgb.shape}')
    if min(rgb.shape[:2]) < SMALLEST_CLOSE_UP_PX:
        return ()
    scale = min(1.0, LARGEST_CLOSE_UP_PX / max(rgb.shape[:2]))
    if scale == 1.0:
        return _find(rgb)
    size = (round(rgb.shape[1] * scale), round(rgb.shape[0] * scale))
    small = np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return tuple(enlarged(mark, rgb.shape[1] / size[0], rgb.shape[0] / size[1]) for mark in _find(small))


def _find(rgb: RgbImage) -> tuple[CloseUpMark, ...]:
    """Marks of a photo of moderate size."""
    ground = see_ground(rgb)
    shape = ground.residual_code.shape
    evidence = line_evidence(ground)
    lines = trace_lines(find_segments(evidence, ground), evidence, ground)
    pieces = settle(find_patches(ground), lines, shape)
    pieces += find_spots(ground, cover_of(pieces, shape, _HALO_PX))
    marks = [judge(piece, ground) for piece in join_pieces(pieces)]
    return tuple(sorted(marks, key=lambda m: (-m.salience, *m.polygon_px[0])))


def enlarged(mark: CloseUpMark, ratio_x: float, ratio_y: float) -> CloseUpMark:
    """Return the mark in px of a photo that is larger by the given ratios; pixel centres stay pixel centres."""
    polygon_px = (mark.polygon_px + 0.5) * (ratio_x, ratio_y) - 0.5
    polygon_px.setflags(write=False)
    ratio = float(np.sqrt(ratio_x * ratio_y))
    return CloseUpMark(
        mark.kind,
        polygon_px,
        mark.confidence,
        mark.salience,
        mark.length_px * ratio,
        mark.width_px * ratio,
        mark.darkness_ratio,
    )
