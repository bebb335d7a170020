"""What it means that a second photo does, or does not, show something at the place of a mark."""

import numpy as np

from calib.arrays import FloatArray
from grader.sets.constants import (
    FALSE_OTHER_LIGHT,
    FALSE_SAME_LIGHT,
    FOUND_OTHER_LIGHT,
    FOUND_SAME_LIGHT,
    NOTHING_MEAN,
    NOTHING_SD,
    REPEAT_CLIP,
    SEEN_MEAN,
    SEEN_SD,
)


def seen_ratio(log_odds: FloatArray) -> FloatArray:
    """How many times likelier the network's log-odds near a place are where a mark is seen than where there is nothing.

    The ratio of two normal densities; it never falls as the log-odds rise.
    """
    cut = np.clip(log_odds, NOTHING_MEAN, SEEN_MEAN)
    log_ratio = (
        0.5 * ((cut - NOTHING_MEAN) / NOTHING_SD) ** 2
        - 0.5 * ((cut - SEEN_MEAN) / SEEN_SD) ** 2
        + np.log(NOTHING_SD / SEEN_SD)
    )
    return np.asarray(np.exp(np.clip(log_ratio, -REPEAT_CLIP, REPEAT_CLIP)))


def look_ratios(log_odds: FloatArray, visible: FloatArray, same_light: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Likelihood of a second photo's look, over that for an empty place: if there is a mark, and if there is none.

    Parameters
    ----------
    log_odds : ndarray of shape (N,)
        Largest of the network near the place, in each further photo.
    visible : ndarray of shape (N,)
        How well the place is seen there, 0 to 1.
    same_light : ndarray of shape (N,)
        Whether it was taken in the same light and from the same side; 0 or 1.

    Returns
    -------
    if_mark, if_none : ndarray of shape (N,)
        `if_none` is for something that looks like a mark but is none, such as a detail of the design.
    """
    ratio = seen_ratio(log_odds)
    found = visible * np.where(same_light > 0, FOUND_SAME_LIGHT, FOUND_OTHER_LIGHT)
    false = visible * np.where(same_light > 0, FALSE_SAME_LIGHT, FALSE_OTHER_LIGHT)
    return found * ratio + 1 - found, false * ratio + 1 - false
