"""What of the dome several photos show."""

import numpy as np
import pytest

from grader.sets.coverage import BELOW_RING, measure_coverage
from grader.sets.find_turns import PhotoTurn
from tests.support.set_scene import ABOVE, OTHER_SIDE, RADIUS_MM, RING_MM, SIDE, PinEye, set_photo

SURE, UNSURE = PhotoTurn(0.0, 0.0, 1.0, "known"), PhotoTurn(0.0, 0.0, 0.3, "unknown")
FAR = PinEye((0.0, 0.0, 4000.0))


def test_from_far_above_the_share_is_that_of_a_cap():
    coverage = measure_coverage([set_photo('a', FAR, ())], [SURE])
    # Area of a sphere's zone goes with its height: facing of 0.25 and more of all above the foot.
    assert coverage.seen_ratio == pytest.approx((1 - 0.25) / (1 + RING_MM / RADIUS_MM), abs=0.01)
    by_band = {(one.band, one.quarter): one.seen_ratio for one in coverage.sectors}
    assert all(ratio == 0.0 for (band, _), ratio in by_band.items() if band == BELOW_RING)
    assert all(ratio > 0.999 for (band, _), ratio in by_band.items() if band in ('crown', 'shoulder'))


def test_side_photos_add_and_unrelated_ones_do_not():
    photos = [set_photo('a', ABOVE, ()), set_photo('b', SIDE, ()), set_photo('c', OTHER_SIDE, ())]
    alone = measure_coverage(photos[:1], [SURE]).seen_ratio
    both = measure_coverage(photos, [SURE, SURE, UNSURE])
    every = measure_coverage(photos, [SURE, SURE, SURE])
    assert alone < both.seen_ratio < every.seen_ratio < 1.0
    assert both.photo_ratios[2] == 0.0


def test_a_hidden_part_is_not_seen():
    photo = set_photo('a', ABOVE, ())
    photo.free[:, :450] = 0
    coverage = measure_coverage([photo], [SURE])
    whole = measure_coverage([set_photo('a', ABOVE, ())], [SURE])
    assert coverage.seen_ratio == pytest.approx(whole.seen_ratio / 2, abs=0.05)  # the camera is a little off the axis
    assert coverage.main_unseen_ratio > 0.4 > whole.main_unseen_ratio
    assert np.isclose(whole.main_unseen_ratio, 0.06, atol=0.06)  # the steep rim alone
