"""Counting rules of ISO 10110-7 and ISO 10110-3.

The rules were taken from secondary texts (an optics-shop article on scratch standards that describes
ISO 10110-7:2008, course slides, catalogue summaries); the cases are worked out from them. Sizes above 0.4 mm are from
memory. Rules about what a drawing permits are left out: the program holds no piece against a drawing.
"""

import math

import pytest

from grader.grade.iso10110 import grade_number, is_long_scratch, next_preferred


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
    ('n', 'grade_mm', 'area_mm2'), [(1, 0.63, 0.3969), (2.5, 0.40, 0.4000), (6.3, 0.25, 0.3937), (16, 0.16, 0.4096)]
)
def test_i7_h_preferred_sizes_make_equal_areas_of_these_counts(n, grade_mm, area_mm2):
    """What a step down allows more of; the counts are from memory, the areas follow."""
    assert n * grade_number(grade_mm**2) ** 2 == pytest.approx(area_mm2, abs=5e-5)
    assert next_preferred(grade_mm) == grade_mm


def test_i3_a_three_bubbles():
    grade_mm = grade_number(math.pi / 4 * 0.11**2)
    assert grade_mm == pytest.approx(0.097485, abs=1e-6)
    assert next_preferred(grade_mm) == 0.100


def test_preferred_sizes_step_by_a_fifth_of_a_decade():
    sizes_mm = [0.004, 0.006, 0.010, 0.016, 0.025, 0.040, 0.063, 0.100, 0.160, 0.250, 0.400]
    assert [next_preferred(size) for size in sizes_mm] == sizes_mm
    assert [next_preferred(1.01 * size) for size in sizes_mm[:-1]] == sizes_mm[1:]
    assert next_preferred(25.0) == 25.0
