"""A second look, in one photo, at a place where others show a mark."""

import numpy as np
from scipy import ndimage

from calib.arrays import PointsPx
from grader.marks.regions import Region, region_outline
from grader.sets.constants import SEEN_AGAIN_EDGE_RATIO, SEEN_AGAIN_ODDS
from grader.sets.set_photo import SetPhoto


def outline_near(
    photo: SetPhoto, centre_px: PointsPx, reach_px: float, numbers: frozenset[int] = frozenset()
) -> PointsPx | None:
    """Closed outline (N, 2) of what the network sees near a pixel (1, 2) of a photo; None where it sees nothing.

    The likeliest pixel within reach, and what hangs together with it above a share of its odds, within three times the
    reach. What the photo has as another mark is left out, but for the marks of the given numbers.
    """
    near, window = photo.odds_within(centre_px, reach_px, numbers)
    if not near.size or near.max() <= SEEN_AGAIN_ODDS:
        return None
    at = np.unravel_index(int(np.argmax(near)), near.shape)
    wide, wide_window = photo.odds_within(centre_px, 3 * reach_px, numbers)
    top, left = wide_window[0].start, wide_window[1].start
    labels, _ = ndimage.label(wide >= SEEN_AGAIN_EDGE_RATIO * near.max(), structure=np.ones((3, 3)))
    number = labels[at[0] + window[0].start - top, at[1] + window[1].start - left]
    rows, columns = (axis + start for axis, start in zip(np.nonzero(labels == number), (top, left), strict=True))
    region = Region(rows, columns, photo.odds[:, rows, columns].astype(np.float32))
    return photo.crop.to_photo(region_outline(region))
