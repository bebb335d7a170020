"""The steepest places of a picture, as short straight edges: they tell the focus where no card does."""

import cv2
import numpy as np

from calib.arrays import GreyImage, Mask
from grader.quality.constants import MOST_PLACES, PLACE_LENGTH_PX, PLACE_REACH_PX, PLACE_SQUARE_PX
from grader.quality.step_fit import Edges

_STRUCTURE_PX = 1.5  # Source: turns the direction of an edge of 11 px by less than a degree in noise


def steepest_edges(linear: GreyImage, looked_at: Mask) -> Edges:
    """Short edges at the steepest place of each square of the picture, the steepest squares first.

    Parameters
    ----------
    linear : ndarray of shape (H, W)
        Linear light.
    looked_at : ndarray of shape (H, W), bool
        Where edges may lie.
    """
    right = cv2.Sobel(linear, cv2.CV_32F, 1, 0)
    down = cv2.Sobel(linear, cv2.CV_32F, 0, 1)
    xx, yy, xy = (cv2.GaussianBlur(one, (0, 0), _STRUCTURE_PX) for one in (right * right, down * down, right * down))
    steep = np.where(looked_at, xx + yy, 0)
    square, (height, width) = PLACE_SQUARE_PX, linear.shape
    n_down, n_right = height // square, width // square
    rows_of_blocks = steep[: n_down * square, : n_right * square].reshape(n_down, square, n_right, square)
    blocks = rows_of_blocks.transpose(0, 2, 1, 3).reshape(n_down * n_right, square * square)
    best = blocks.argmax(axis=1)
    order = np.argsort(-blocks.max(axis=1), kind='stable')[:MOST_PLACES]
    order = order[blocks.max(axis=1)[order] > 0]
    rows = order // max(n_right, 1) * square + best[order] // square
    columns = order % max(n_right, 1) * square + best[order] % square
    turn = 0.5 * np.arctan2(2 * xy[rows, columns], xx[rows, columns] - yy[rows, columns])
    along = np.column_stack([-np.sin(turn), np.cos(turn)]) * PLACE_LENGTH_PX / 2
    middle = np.column_stack([columns, rows]).astype(np.float64)
    return Edges(middle - along, middle + along, np.full((len(middle), 2), float(PLACE_REACH_PX)))
