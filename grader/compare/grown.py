"""Whether a mark that both sides show is larger than it was."""

import math
from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np

from calib.arrays import GreyImage, PointsPx
from calib.measured import Measured
from grader.compare.constants import GROWN_RATIO, GROWN_REACH_PX, GROWN_SPREADS, LEAST_GROWN_PX, WOULD_SHOW
from grader.compare.could_show import chance_to_show
from grader.compare.crop_light import CropLight
from grader.compare.mark_look import mask_of
from grader.compare.place_look import look_at_part
from grader.compare.weigh_change import chance_seen
from grader.sets.constants import LEAST_ODDS
from grader.sets.sightings import Sighting

MOST_AMOUNT = 0.4  # Source: in the same light nine in ten old marks show more of their light, half of new ones less
CLEARLY_CLEAN = 0.1  # Source: convention of this project, ten to one against the mark going on there


def what_grew(later: Sequence[Sighting], earlier: Sequence[Sighting], crops: Sequence[CropLight]) -> str:
    """What of a mark grew, in words; '' where nothing surely did.

    It must be larger beyond the uncertainties of both sizes, and an earlier photo that shows the mark must show clean
    glass where it goes on now, and be such as would have shown it there: a better photo shows more of a scratch.

    Parameters
    ----------
    later, earlier : sequence of Sighting
        How the photos of either side show the mark, the surest first.
    crops : sequence of CropLight
        All photos.
    """
    for was in earlier:
        now = later[0]
        words = _larger(now, was)
        if words and _went_not_on(now, [one for one in earlier if one.photo == was.photo], crops):
            return words
    return ''


def _larger(now: Sighting, was: Sighting) -> str:
    """By how much a mark is surely larger than it was, in words; else ''."""
    is_line = now.is_line and was.is_line
    new, old = (one.mark.length_mm if is_line else one.mark.diameter_mm for one in (now, was))
    if new is None or old is None or not _is_surely_larger(new, old):
        return ''
    name = "long" if is_line else "across"
    return f"{new.value:.1f} mm {name} now, {old.value:.1f} mm before"


def _is_surely_larger(new: Measured, old: Measured) -> bool:
    clear = new.value - old.value > GROWN_SPREADS * math.hypot(new.u, old.u)
    return clear and new.value > GROWN_RATIO * old.value


def _went_not_on(now: Sighting, parts: Sequence[Sighting], crops: Sequence[CropLight]) -> bool:
    """Whether an earlier photo shows clean glass where the mark goes on now, and would have shown it."""
    here, there = crops[now.photo], crops[parts[0].photo]
    added, points = _added(now, parts, here, there)
    if len(points) < LEAST_GROWN_PX:
        return False
    look = look_at_part(now, added, points, here, there, parts[0].photo)
    # The usual log-odds reach so far that they would still see what was there before.
    look = replace(look, log_odds=_log_odds_right_at(points, here, there))
    light = here.photo.findings.quality.light.kind
    found = look.registered
    if look.same_light and found is not None and found.amount > MOST_AMOUNT:
        return False
    return chance_seen(look) < CLEARLY_CLEAN and chance_to_show(look, now.mark, light) >= WOULD_SHOW


def _log_odds_right_at(points: PointsPx, here: CropLight, there: CropLight) -> float:
    """Log-odds of any mark at the very pixels (N, 2) of the later crop, in the earlier photo (likeliest tenth)."""
    columns, rows = np.rint(there.from_piece(here.to_piece(points))[0]).astype(np.intp).T
    height, width = there.photo.peak.shape
    odds = there.photo.odds[:, np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)].max(axis=0)
    cut = float(np.clip(np.quantile(odds.astype(np.float64), 0.9), LEAST_ODDS, 1 - LEAST_ODDS))
    return math.log(cut / (1 - cut))


def _added(now: Sighting, parts: Sequence[Sighting], here: CropLight, there: CropLight) -> tuple[GreyImage, PointsPx]:
    """Where the mark goes beyond what the earlier photo shows of it: (H, W) and pixels (N, 2) of the later crop."""
    whole = mask_of([here.photo.crop_px(now.mark.outline_px)], here)
    before = [here.from_piece(there.to_piece(there.photo.crop_px(one.mark.outline_px)))[0] for one in parts]
    size = 2 * GROWN_REACH_PX + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    added = np.asarray(whole * (1 - cv2.dilate(mask_of(before, here), disc)), dtype=np.float32)
    rows, columns = np.nonzero(added)
    return added, np.column_stack([columns, rows]).astype(np.float64)
