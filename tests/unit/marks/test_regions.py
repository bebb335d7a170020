"""Odds of pixels become one region a mark."""

import numpy as np
import pytest

from grader.marks.line_path import line_path
from grader.marks.mark import MarkKind
from grader.marks.mark_net import NETWORK_KINDS
from grader.marks.regions import find_regions, region_outline
from tests.support.odds_picture import make_odds


def kind_of(region):
    return NETWORK_KINDS[int(np.argmax(region.kind_odds()))]


def test_each_mark_becomes_one_region_of_its_kind():
    odds = make_odds(
        [
            (MarkKind.CHIP, 0.9, (50, 60, 9), 0),
            (MarkKind.BUBBLE, 0.7, (150, 60, 5), 0),
            (MarkKind.SCRATCH, 0.8, [(20, 150), (180, 160)], 2),
        ]
    )
    assert [kind_of(region) for region in find_regions(odds)] == [MarkKind.CHIP, MarkKind.SCRATCH, MarkKind.BUBBLE]


def test_clean_glass_gives_no_region():
    assert find_regions(make_odds([])) == ()


def test_a_faint_region_without_a_likely_pixel_is_left_out():
    assert find_regions(make_odds([(MarkKind.CHIP, 0.2, (50, 60, 9), 0)])) == ()


def test_a_scratch_that_runs_into_a_chip_stays_a_scratch():
    odds = make_odds([(MarkKind.SCRATCH, 0.8, [(20, 60), (120, 60)], 2), (MarkKind.CHIP, 0.9, (120, 60, 12), 0)])
    assert {kind_of(region) for region in find_regions(odds)} == {MarkKind.CHIP, MarkKind.SCRATCH}


def test_outline_of_a_disc_encloses_its_pixels_area():
    (region,) = find_regions(make_odds([(MarkKind.CHIP, 0.9, (80, 90, 12), 0)]))
    x, y = region_outline(region).T
    area = abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    assert area == pytest.approx(len(region.rows), rel=0.06)
    assert [x.mean(), y.mean()] == pytest.approx([80, 90], abs=1.0)


@pytest.mark.parametrize('ends', [[(20, 40), (170, 40)], [(30, 30), (150, 150)], [(60, 20), (90, 180)]])
def test_path_of_a_straight_line_is_as_long_as_the_line(ends):
    (region,) = find_regions(make_odds([(MarkKind.SCRATCH, 0.9, ends, 3)]))
    path = line_path(region)
    length = np.linalg.norm(np.diff(path, axis=0), axis=1).sum()
    assert length == pytest.approx(np.hypot(*np.subtract(*ends)), abs=4)


def test_path_follows_a_bend():
    turn = np.linspace(0, np.pi, 60)
    arc = np.column_stack([100 + 60 * np.cos(turn), 120 - 60 * np.sin(turn)]).round()
    (region,) = find_regions(make_odds([(MarkKind.SCRATCH, 0.9, arc.tolist(), 3)]))
    path = line_path(region)
    assert np.linalg.norm(np.diff(path, axis=0), axis=1).sum() == pytest.approx(60 * np.pi, rel=0.03)
