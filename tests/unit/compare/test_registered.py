"""A mark's look laid over another photo: how much of it is there, and how far it would stand out."""

import numpy as np
import pytest

from grader.compare.mark_look import CarriedLook
from grader.compare.registered import register

SIDE_PX = 60
MIDDLE = SIDE_PX // 2


def disc(radius_px, x=MIDDLE, y=MIDDLE):
    rows, columns = np.mgrid[:SIDE_PX, :SIDE_PX]
    return (np.hypot(columns - x, rows - y) <= radius_px).astype(np.float32)


def look(light_added=0.2):
    mask, support = disc(4), disc(8) > 0
    template = np.where(support, light_added * (mask - mask[support].mean()), 0).astype(np.float32)
    known = np.ones((SIDE_PX, SIDE_PX), bool)
    return CarriedLook(
        0, 0, np.full((SIDE_PX, SIDE_PX), 0.4, np.float32) + light_added * mask, mask, known, template, support
    )


def other(share, noise=0.01, x=MIDDLE, y=MIDDLE, seed=0):
    noisy = 0.4 + np.random.default_rng(seed).normal(0, noise, (SIDE_PX, SIDE_PX))
    return (noisy + share * 0.2 * disc(4, x, y)).astype(np.float32)


@pytest.mark.parametrize('share', [0.0, 0.3, 1.0])
def test_amount_is_the_share_of_the_mark_that_is_there(share):
    found = register(look(), other(share), 1.2, 2)
    # the best of 25 shifts lies a little above, by noise
    assert found.amount == pytest.approx(share, abs=0.06)


def test_spread_falls_with_the_marks_light_and_rises_with_noise():
    spread = register(look(), other(0.0), 1.2, 2).u_amount
    assert register(look(0.1), other(0.0), 1.2, 2).u_amount == pytest.approx(2 * spread, rel=1e-3)
    assert register(look(), other(0.0, noise=0.03), 1.2, 2).u_amount == pytest.approx(3 * spread, rel=0.01)


def test_spread_is_that_of_a_matched_filter_in_white_noise():
    one = look()
    expected = 0.01 / np.sqrt((one.template**2).sum())
    assert register(one, other(0.0), 1.2, 2).u_amount == pytest.approx(expected, rel=0.15)


def test_mark_beside_its_place_is_found_within_reach_only():
    beside = other(1.0, x=MIDDLE + 3)
    assert register(look(), beside, 1.2, 3).amount > 0.9
    assert register(look(), beside, 1.2, 0).amount < 0.6


def test_mark_itself_is_no_background():
    clean, marked = (register(look(), other(share), 1.2, 2).u_amount for share in (0.0, 1.0))
    assert marked < 2.5 * clean


def test_white_place_is_clipped():
    assert register(look(), np.ones((SIDE_PX, SIDE_PX), np.float32), 1.0, 2).clipped_ratio == 1.0


def test_no_template_tells_nothing():
    assert register(look(0.0), other(0.0), 1.2, 2) is None
