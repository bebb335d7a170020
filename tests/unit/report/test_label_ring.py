"""Labels round the piece: in order, near where they belong, never one over another."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.report.label_ring import place_on_rings, rings_needed, spread_on_circle

FULL = 2 * math.pi
STEADY = settings(max_examples=150, deadline=None, derandomize=True)


def apart(a, b):
    """Angle between two directions, 0 to pi."""
    return abs((a - b + math.pi) % FULL - math.pi)


def test_labels_with_room_stay_where_they_want_to_be():
    wanted = [0.1, 1.5, 3.0, 5.0]
    np.testing.assert_allclose(spread_on_circle(wanted, [0.2] * 4), wanted)


def test_two_at_one_place_move_apart_evenly():
    np.testing.assert_allclose(spread_on_circle([1.0, 1.0], [0.2, 0.2]), [0.9, 1.1])


def test_a_crowd_across_the_start_of_the_circle():
    placed = spread_on_circle([0.0, FULL - 0.01, 0.01], [0.3] * 3)
    assert apart(placed[1], 0.0) == pytest.approx(0.3, abs=1e-9)
    assert apart(placed[0], 0.0) == pytest.approx(0.0, abs=1e-9)
    assert apart(placed[2], 0.0) == pytest.approx(0.3, abs=1e-9)


@STEADY
@given(
    wanted=st.lists(st.floats(-7.0, 7.0), min_size=2, max_size=30),
    rooms=st.lists(st.floats(0.02, 0.2), min_size=30, max_size=30),
)
def test_no_label_lies_over_another(wanted, rooms):
    rooms = rooms[: len(wanted)]
    placed = spread_on_circle(wanted, rooms)
    shrink = min(1.0, FULL / sum(rooms))
    for i in range(len(wanted)):
        for j in range(i):
            assert apart(placed[i], placed[j]) >= shrink * (rooms[i] + rooms[j]) / 2 - 1e-9


@STEADY
@given(wanted=st.lists(st.floats(0.0, FULL - 1e-6), min_size=3, max_size=25, unique=True))
def test_labels_keep_their_order_round_the_circle(wanted):
    placed = spread_on_circle(wanted, [0.2] * len(wanted))
    order = np.argsort(wanted)
    steps = np.mod(np.diff(placed[np.append(order, order[0])]), FULL)
    assert steps.sum() == pytest.approx(FULL)


def test_rings_take_turns_when_one_is_full():
    places = place_on_rings([0.1 * k for k in range(60)], [70.0] * 60, 590.0, 58.0)
    assert {place.ring for place in places} == {0, 1}
    assert [place.ring for place in places[:4]] == [0, 1, 0, 1]
    points = np.array(
        [[(590 + 58 * p.ring) * math.cos(p.angle_rad), (590 + 58 * p.ring) * math.sin(p.angle_rad)] for p in places]
    )
    distances = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1)) + 1e9 * np.eye(60)
    assert distances.min() > 50.0


def test_no_labels_need_no_places():
    assert place_on_rings([], [], 590.0, 58.0) == ()
    assert spread_on_circle([], []).size == 0


@pytest.mark.parametrize(('width_px', 'n_rings'), [(100.0, 1), (3500.0, 2), (1e6, 4)])
def test_rings_needed(width_px, n_rings):
    assert rings_needed(width_px, 590.0) == n_rings
