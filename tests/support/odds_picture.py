"""Pictures of odds as the network gives them, drawn by hand."""

import cv2
import numpy as np

from grader.marks.mark_net import NETWORK_KINDS
from grader.marks.piece_crop import PieceCrop

SIZE_PX = 200


def make_odds(marks):
    """Odds (5, SIZE_PX, SIZE_PX) with marks drawn into them: (kind, odds, disc (x, y, radius) or line points, width)."""
    odds = np.full((5, SIZE_PX, SIZE_PX), 0.01, np.float32)
    for kind, sure, shape, width in marks:
        canvas = np.zeros((SIZE_PX, SIZE_PX), np.uint8)
        if len(shape) == 3 and np.ndim(shape[0]) == 0:
            x, y, radius = shape
            rows, columns = np.indices(canvas.shape)
            canvas[np.hypot(columns - x, rows - y) <= radius] = 1
        else:
            cv2.polylines(canvas, [np.array(shape, np.int32).reshape(-1, 1, 2)], False, 1, width)
        odds[NETWORK_KINDS.index(kind)][canvas > 0] = sure
    return odds


def make_crop(scale_ratio=1.0, offset_px=(0.0, 0.0)):
    """A plain grey crop, all of it deep inside the piece."""
    rgb = np.full((SIZE_PX, SIZE_PX, 3), 128, np.uint8)
    return PieceCrop(rgb, np.full((SIZE_PX, SIZE_PX), 60.0, np.float32), offset_px, scale_ratio)
