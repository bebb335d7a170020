"""Counting rules of ISO 10110-7 and ISO 10110-3.

The rules were taken from secondary texts (an optics-shop article on scratch standards that describes
ISO 10110-7:2008, course slides, catalogue summaries); the cases are worked out from them. The 0.16 rule, the
concentration rule and the sub-division factors are from memory.
"""

import math

import pytest

from grader.grade.iso10110 import (
    Limit,
    grade_number,
    is_concentration,
    is_ignored,
    is_long_scratch,
    is_within,
    next_preferred,
)


def test_i7_a_round_spot():
    area_mm2 = math.pi / 4 * 0.30**2
    assert area_mm2 == pytest.approx(0.070686, rel=1e-5)
    assert grade_number(area_mm2) == pytest.approx(0.265868, rel=1e-6)
    assert grade_number(area_mm2) == pytest.approx(0.886227 * 0.30, rel=1e-6)
    assert next_preferred(grade_number(area_mm2)) == 0.40


def test_i7_b_short_scratch_counts_by_area():
    assert not is_long_scratch(1.6)
    assert grade_number(1.6 * 0.025) == pytest.approx(0.200, abs=1e-9)
    assert next_preferred(grade_number(1.6 * 0.025)) == 0.25


@pytest.mark.parametrize(('length_mm', 'is_long'), [(12.0, True), (2.0, False), (2.0000001, True)])
def test_i7_c_d_long_means_longer_than_2_mm(length_mm, is_long):
    assert is_long_scratch(length_mm) is is_long


@pytest.mark.parametrize(
    ('grades_mm', 'within'),
    [([0.25] + 5 * [0.10], True), (4 * [0.25], False), ([0.40], False), (3 * [0.25], True), ([], True)],
    ids=['I7-e', 'I7-f', 'I7-g', 'all used', 'none'],
)
def test_i7_e_f_g_area_and_size_limit(grades_mm, within):
    assert is_within(Limit(3, 0.25), grades_mm) is within


@pytest.mark.parametrize(
    ('n', 'grade_mm', 'area_mm2'), [(1, 0.63, 0.3969), (2.5, 0.40, 0.4000), (6.3, 0.25, 0.3937), (16, 0.16, 0.4096)]
)
def test_i7_h_sub_division_keeps_the_area(n, grade_mm, area_mm2):
    assert n * grade_mm**2 == pytest.approx(area_mm2, abs=5e-5)
    assert n * grade_mm**2 == pytest.approx(Limit(1, 0.63).area_mm2, rel=0.033)
    assert next_preferred(grade_mm) == grade_mm


@pytest.mark.parametrize(('grade_mm', 'ignored'), [(0.1008, True), (0.1009, False), (0.05, True)])
def test_i7_i_small_ones_are_not_counted(grade_mm, ignored):
    assert is_ignored(Limit(1, 0.63), grade_mm) is ignored
    assert is_within(Limit(1, 0.63), 60 * [grade_mm]) is ignored


@pytest.mark.parametrize(
    ('n_permitted', 'n_in_sub_area', 'concentrated'), [(20, 5, True), (20, 4, False), (9, 2, True), (9, 1, False)]
)
def test_i7_j_concentration(n_permitted, n_in_sub_area, concentrated):
    assert is_concentration(n_permitted, n_in_sub_area) is concentrated


def test_i3_a_three_bubbles():
    grade_mm = grade_number(math.pi / 4 * 0.11**2)
    assert grade_mm == pytest.approx(0.097485, abs=1e-6)
    assert is_within(Limit(3, 0.1), 3 * [grade_mm])


def test_preferred_sizes_step_by_a_fifth_of_a_decade():
    sizes_mm = [0.004, 0.006, 0.010, 0.016, 0.025, 0.040, 0.063, 0.100, 0.160, 0.250, 0.400]
    assert [next_preferred(size) for size in sizes_mm] == sizes_mm
    assert [next_preferred(1.01 * size) for size in sizes_mm[:-1]] == sizes_mm[1:]
    assert next_preferred(25.0) == 25.0
