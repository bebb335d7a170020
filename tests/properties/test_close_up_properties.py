"""What holds for any close-up: turning and mirroring change nothing, noise never helps."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.marks.close_up import find_close_up_marks
from grader.marks.close_up_constants import DARK_WEIGHT
from tests.support.scratched_glass import as_photo, clean_glass, with_line, with_spot

SIDE = 240
WAYS = {
    'mirrored': (lambda a: a[:, ::-1], lambda p: np.stack([SIDE - 1 - p[:, 0], p[:, 1]], axis=1)),
    'upside down': (lambda a: a[::-1], lambda p: np.stack([p[:, 0], SIDE - 1 - p[:, 1]], axis=1)),
    'turned': (lambda a: np.rot90(a), lambda p: np.stack([p[:, 1], SIDE - 1 - p[:, 0]], axis=1)),
}


def scene(seed, contrast_code=25.0, noise_code=2.0):
    rng = np.random.default_rng(seed)
    start, end = rng.uniform(30, 90, 2), rng.uniform(150, 210, 2)
    # beside the line, not on it, where the two would be one mark or two by a hair
    across = np.array([end[1] - start[1], start[0] - end[0]]) / np.hypot(*(end - start))
    spot = (start + end) / 2 + rng.choice([-1, 1]) * rng.uniform(35, 55) * across
    grey = clean_glass(seed, (SIDE, SIDE), noise_code)
    grey = with_line(grey, start, end, 3.0, contrast_code)
    return with_spot(grey, spot, 9.0, -2 * contrast_code)


def middle(polygon_px):
    return (polygon_px.min(axis=0) + polygon_px.max(axis=0)) / 2


@pytest.mark.parametrize('way', WAYS)
@given(seed=st.integers(0, 10_000))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_turning_the_photo_turns_the_marks(way, seed):
    turn, place = WAYS[way]
    grey = scene(seed)
    plain = [m for m in find_close_up_marks(as_photo(grey)) if m.confidence >= 0.8]
    turned = [m for m in find_close_up_marks(as_photo(np.ascontiguousarray(turn(grey)))) if m.confidence >= 0.7]
    assert plain
    for mark in plain:
        apart = [np.abs(middle(place(mark.polygon_px)) - middle(other.polygon_px)).max() for other in turned]
        nearest = turned[int(np.argmin(apart))]
        # reduced pictures start their pixels at the other side, so the background differs a little
        assert min(apart) <= 4
        assert nearest.kind is mark.kind
        assert nearest.salience == pytest.approx(mark.salience, abs=0.5)


@given(seed=st.integers(0, 10_000))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_more_noise_gives_no_more_confidence(seed):
    best = []
    for noise_code in (1.0, 3.0, 9.0):
        marks = find_close_up_marks(as_photo(scene(seed, noise_code=noise_code)))
        best.append(max((m.salience for m in marks), default=0.0))
    # noise hides faint echoes, and with them changes how much dark pixels count, by DARK_WEIGHT at most
    assert all(later <= earlier + np.log10(DARK_WEIGHT) for earlier, later in pairwise(best))
    assert best[-1] < best[0]


@given(seed=st.integers(0, 10_000))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_a_clearer_mark_is_surer(seed):
    best = []
    for contrast_code in (8.0, 16.0, 32.0):
        marks = find_close_up_marks(as_photo(scene(seed, contrast_code)))
        best.append(max((m.salience for m in marks), default=0.0))
    assert best == sorted(best)


@given(seed=st.integers(0, 10_000), width=st.integers(1, 90), height=st.integers(1, 90))
@settings(max_examples=25, deadline=None, derandomize=True)
def test_any_picture_gives_sound_marks(seed, width, height):
    rng = np.random.default_rng(seed)
    rgb = (rng.integers(0, 256, (height, width, 3)) // rng.integers(1, 60)).astype(np.uint8)
    for mark in find_close_up_marks(rgb):
        assert 0.0 <= mark.confidence <= 1.0
        assert mark.polygon_px.ndim == 2
        assert np.isfinite(mark.polygon_px).all()
        assert mark.polygon_px.min() >= 0
        assert (mark.polygon_px <= (width - 1, height - 1)).all()


def surely_alike(plain, other, place, apart_px, salience):
    """Every clear mark of one list is in the other, of the same kind, at its place, and as clear."""
    assert plain
    for mark in plain:
        apart = [np.abs(place(middle(mark.polygon_px)) - middle(o.polygon_px)).max() for o in other]
        nearest = other[int(np.argmin(apart))]
        assert min(apart) <= apart_px
        assert nearest.kind is mark.kind
        assert nearest.salience == pytest.approx(mark.salience, abs=salience)


@given(seed=st.integers(0, 10_000), dx=st.integers(-20, 20), dy=st.integers(-20, 20))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_shifting_the_photo_shifts_the_marks(seed, dx, dy):
    grey = scene(seed)
    shifted = np.roll(grey, (dy, dx), axis=(0, 1))
    plain = [m for m in find_close_up_marks(as_photo(grey)) if m.confidence >= 0.9]
    moved = [m for m in find_close_up_marks(as_photo(shifted)) if m.confidence >= 0.5]
    # reduced pictures start their pixels elsewhere, and the rolled border is a seam: noise and echoes differ a little
    surely_alike(plain, moved, lambda p: p + np.array([dx, dy]), 4, 0.8)


@given(seed=st.integers(0, 10_000), gain=st.floats(0.6, 1.15), offset=st.floats(-15, 15))
@settings(max_examples=4, deadline=None, derandomize=True)
def test_another_exposure_changes_nothing(seed, gain, offset):
    grey = scene(seed)
    plain = [m for m in find_close_up_marks(as_photo(grey)) if m.confidence >= 0.9]
    exposed = [m for m in find_close_up_marks(as_photo(grey * gain + offset)) if m.confidence >= 0.5]
    # rounding to whole code steps adds noise to a darker photo
    surely_alike(plain, exposed, lambda p: p, 4, 0.8)
