"""Spread of light across edges: steps blurred by a known Gaussian come back, whatever their slant and noise."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from grader.quality.step_fit import Edges, edge_spreads

HALF_PX = 60.0


def blurred_step(spread_px, slant_deg, low=0.2, high=0.7, noise=0.0, seed=1):
    """A photo of a straight edge through its middle, the Gaussian's spread exact at each pixel's centre."""
    y, x = np.indices((161, 161)) - 80.0
    turn = np.deg2rad(slant_deg)
    off = -x * np.sin(turn) + y * np.cos(turn) - 0.3
    light = low + (high - low) * ndtr(off / spread_px)
    return (light + noise * np.random.default_rng(seed).standard_normal(light.shape)).astype(np.float32)


def edge(slant_deg, reach_px=24.0):
    turn = np.deg2rad(slant_deg)
    along = HALF_PX * np.array([[np.cos(turn), np.sin(turn)]])
    return Edges(80 - along, 80 + along, np.full((1, 2), reach_px))


@pytest.mark.parametrize('slant_deg', [0.0, 3.0, 45.0, 87.0, 200.0], ids=str)
@pytest.mark.parametrize('spread_px', [0.5, 0.8, 1.5, 3.0, 6.0], ids=str)
def test_a_known_spread_comes_back(spread_px, slant_deg):
    found = edge_spreads(blurred_step(spread_px, slant_deg, noise=0.01), edge(slant_deg), 80, 0.05, 0.1)
    # One edge in noise of 1 %, and along the pixel rows without the help of a slant.
    assert found[0] == pytest.approx(spread_px, rel=0.05)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.floats(0.5, 3.8), st.floats(1.1, 2.0), st.floats(1.0, 44.0))  # up to 8 px, the largest that is told
def test_more_blur_never_measures_less(spread_px, ratio, slant_deg):
    less, more = (
        edge_spreads(blurred_step(s, slant_deg), edge(slant_deg), 80, 0.05, 0.1)[0]
        for s in (spread_px, ratio * spread_px)
    )
    assert more > less


def test_what_is_no_clean_step_is_not_told():
    flat = np.full((161, 161), 0.4, np.float32)
    stripes = np.tile(np.repeat([0.2, 0.7], 5), 17)[:161, None] * np.ones((1, 161))
    clipped = np.minimum(blurred_step(1.0, 3.0, 0.2, 1.4), 1.0)
    for picture in (flat, stripes.astype(np.float32), clipped):
        assert np.isnan(edge_spreads(picture, edge(3.0), 80, 0.05, 0.1)[0])


def test_edges_outside_the_picture_and_none_at_all():
    outside = Edges(np.array([[500.0, 500.0]]), np.array([[600.0, 500.0]]), np.full((1, 2), 10.0))
    assert np.isnan(edge_spreads(blurred_step(1.0, 3.0), outside, 80, 0.05, 0.1)[0])
    none = Edges(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros((0, 2)))
    assert len(edge_spreads(blurred_step(1.0, 3.0), none, 80, 0.05, 0.1)) == 0
