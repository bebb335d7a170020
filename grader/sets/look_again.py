"""A second look, in one photo, at a place where others show a mark."""

import numpy as np
from scipy import ndimage

from calib.arrays import PointsPx
from grader.marks.regions import Region, region_outline
from grader.sets.constants import SEEN_AGAIN_EDGE_RATIO, SEEN_AGAIN_LOG_ODDS
from grader.sets.set_photo import SetPhoto


def outline_near(photo: SetPhoto, centre_px: PointsPx, reach_px: float) -> PointsPx | None:
    """Closed outline (N, 2) of what the network sees near a pixel (1, 2) of a photo; None where it sees nothing.

    The likeliest pixel within reach, and what hangs together with it above a share of its odds, within three times the
    reach.
    """
    odds = photo.odds.max(axis=0)
    column, row = np.rint(photo.crop_px(centre_px)[0]).astype(int)
    reach = max(round(reach_px * photo.crop.scale_ratio), 1)
    top, left = max(row - 3 * reach, 0), max(column - 3 * reach, 0)
    window = odds[top : row + 3 * reach + 1, left : column + 3 * reach + 1].astype(np.float64)
    if not window.size:
        return None
    rows, columns = np.mgrid[: window.shape[0], : window.shape[1]]
    near = np.hypot(rows + top - row, columns + left - column) <= reach
    peak = float(np.where(near, window, 0.0).max())
    if peak <= 1 / (1 + np.exp(-SEEN_AGAIN_LOG_ODDS)):
        return None
    labels, _ = ndimage.label(window >= SEEN_AGAIN_EDGE_RATIO * peak, structure=np.ones((3, 3)))
    at = np.unravel_index(int(np.argmax(np.where(near, window, -1.0))), window.shape)
    found_rows, found_columns = np.nonzero(labels == labels[at])
    region = Region(
        found_rows + top,
        found_columns + left,
        photo.odds[:, found_rows + top, found_columns + left].astype(np.float32),
    )
    return photo.crop.to_photo(region_outline(region))
