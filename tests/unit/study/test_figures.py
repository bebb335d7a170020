"""Intervals, correlations, kappas, agreement and repeated marks, on small hand-made data."""

import math

import numpy as np
import pytest

from grader.record import SeenInFacts
from grader.study.agreement import limits_of_agreement
from grader.study.found_again import Looks, found_again, looks_of
from grader.study.icc import icc_of_groups, icc_of_table
from grader.study.intervals import dof_wanted, pooled_sd, sd_interval
from grader.study.kappa import cross_table, step_weights, weighted_kappa
from tests.support.sample_record import SCRATCH, sample_findings, sample_record


def test_interval_of_a_standard_deviation_holds_the_truth_as_often_as_it_says():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(2000):
        sd = float(np.std(rng.normal(0, 2.0, 7), ddof=1))
        interval = sd_interval(sd, 6)
        held += interval.low <= 2.0 <= interval.high
    # Four standard errors of a share of 2000.
    assert held / 2000 == pytest.approx(0.95, abs=4 * math.sqrt(0.95 * 0.05 / 2000))


def test_degrees_of_freedom_wanted():
    wanted = dof_wanted(0.25)
    assert sd_interval(1.0, wanted).high <= 1.25 < sd_interval(1.0, wanted - 1).high


def test_pooled_standard_deviation_weighs_by_degrees_of_freedom():
    assert pooled_sd([3.0, 1.0], [1, 3]) == (pytest.approx(math.sqrt(3.0)), 4)


def test_correlation_of_equal_repeats_is_not_told():
    assert icc_of_groups([[1.0, 1.0], [2.0, 2.0]]) == {}
    assert icc_of_groups([[1.0, 2.0]]) == {}
    assert icc_of_table(np.ones((3, 2))) == {}


def test_correlations_have_intervals_round_them():
    table = np.random.default_rng(2).normal(0, 1, (8, 3)) + np.arange(8)[:, None]
    for one in icc_of_table(table).values():
        assert one.low <= one.value <= one.high <= 1.0


def test_kappa_ends():
    assert weighted_kappa(cross_table([0, 1, 2], [0, 1, 2], 3), step_weights(3, 2)).kappa.value == pytest.approx(1.0)
    assert weighted_kappa(cross_table([1, 1], [1, 1], 3), step_weights(3, 2)) is None
    assert weighted_kappa(np.zeros((3, 3)), step_weights(3, 1)) is None
    opposite = weighted_kappa(cross_table([0, 1], [1, 0], 2), step_weights(2, 1))
    assert opposite.kappa.value == pytest.approx(-1.0)


def test_weights_fall_with_the_distance_of_words():
    assert step_weights(3, 1).tolist() == [[1.0, 0.5, 0.0], [0.5, 1.0, 0.5], [0.0, 0.5, 1.0]]
    assert step_weights(3, 2)[0].tolist() == [1.0, 0.75, 0.0]
    assert step_weights(2, 0).tolist() == [[1.0, 0.0], [0.0, 1.0]]


def test_agreement_needs_two_pieces():
    assert limits_of_agreement([[1.0]], [[2.0]]) is None


def test_agreement_of_single_values():
    found, points = limits_of_agreement([[10.0], [20.0], [33.0]], [[9.0], [21.0], [30.0]])
    assert found.bias.value == pytest.approx(1.0)
    assert found.sd == pytest.approx(2.0)
    assert points == ((9.5, 1.0), (20.5, -1.0), (31.5, 3.0))


A, B = ('a', 'chip'), ('b', 'chip')


def test_marks_found_again_by_the_same_and_by_another_set_up():
    looks = [Looks((A, A, ('b', 'bubble')), ('b',)), Looks((A,), ())]
    same, other = found_again(looks, same_setup=True), found_again(looks, same_setup=False)
    # a-a both ways, b to the other b, which misses it.
    assert (same.n_looks, same.n_again, same.n_same_kind, same.n_marks) == (3, 2, 2, 1)
    # Each a to both b; the reporting b to both a.
    assert (other.n_looks, other.n_again, other.n_same_kind) == (6, 4, 0)
    assert found_again([Looks((A,), ())], same_setup=True) is None


def test_looks_are_read_from_a_record_of_several_photos():
    seen = (
        SeenInFacts(photo='1.jpg', outline_px=SCRATCH.outline_px, number=1, confidence=0.93),
        SeenInFacts(photo='2.jpg', outline_px=SCRATCH.outline_px, number=2, confidence=0.3),
        SeenInFacts(photo='3.jpg', outline_px=SCRATCH.outline_px),
    )
    record = sample_record(
        marks=(SCRATCH.model_copy(update={'seen_in': seen, 'missing_in': ('4.jpg',)}),),
        other_findings=tuple(sample_findings(f'{k}.jpg') for k in (1, 2, 3, 4)),
    )
    # The second photo is not sure enough, the third found it only on a second look, the fourth is of no set-up.
    assert looks_of(record, {'1.jpg': 'a', '2.jpg': 'a', '3.jpg': 'b'}) == (Looks((('a', 'scratch'),), ('a', 'b')),)
    assert looks_of(record, {'2.jpg': 'a'}) == ()
