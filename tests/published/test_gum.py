"""Uncertainty budgets that the Guide itself works out.

Source: JCGM 100:2008, H.1 (end gauge), H.2 (correlated inputs), 4.3.7 and table G.2; the inputs of H.2 from memory,
recomputed.
"""

import math
from statistics import NormalDist

import numpy as np
import pytest

from calib.constants import U_F35_ROUNDING_MM, U_PRINT_UNMEASURED_RATIO, U_RULER_READING_MM
from calib.measured import Measured, combine, format_measured
from grader.constants import COVERAGE_FACTOR

NM = 1e-6  # mm


def end_gauge():
    """H.1: l = ls + d - ls (da theta + as dtheta), mm."""
    ls_mm, d_mm, alpha, theta = 50.000623, 215 * NM, 11.5e-6, -0.1
    standard = Measured(ls_mm, (('standard', 25 * NM),))
    comparison = Measured(
        d_mm, (('repeated readings', 5.8 * NM), ('comparator, random', 3.9 * NM), ('comparator, steady', 6.7 * NM))
    )
    expansion = Measured(0.0, (('difference of expansion', 0.58e-6),), '/K')
    temperature = Measured(0.0, (('difference of temperature', 0.029),), 'K')
    return combine(
        ls_mm + d_mm,
        ((1, standard), (1, comparison), (-ls_mm * theta, expansion), (-ls_mm * alpha, temperature)),
    )


def test_h1_length_and_combined_uncertainty():
    length = end_gauge()
    assert length.value == pytest.approx(50.000838, abs=1 * NM)
    assert length.u == pytest.approx(32 * NM, abs=1 * NM)


@pytest.mark.parametrize(
    ('cause', 'nm'), [('standard', 25), ('difference of expansion', 2.9), ('difference of temperature', 16.6)]
)
def test_h1_contributions(cause, nm):
    assert abs(end_gauge().component(cause)) == pytest.approx(nm * NM, abs=0.1 * NM)


def test_h1_comparison_adds_up_to_9_7_nm():
    budget = end_gauge()
    parts = [budget.component(c) for c in ('repeated readings', 'comparator, random', 'comparator, steady')]
    assert math.hypot(*parts) == pytest.approx(9.7 * NM, abs=0.05 * NM)


def test_h1_expanded_uncertainty_at_99_percent():
    # t99 for 16 degrees of freedom, table G.2
    assert end_gauge().expanded(2.92) == pytest.approx(93 * NM, abs=1 * NM)


def test_h1_as_text():
    assert format_measured(end_gauge(), 2.92) == '50.000838 mm ± 0.000093 mm (k = 2.92)'


V = np.array([5.007, 4.994, 5.005, 4.990, 4.999])
I = np.array([19.663, 19.639, 19.640, 19.685, 19.678]) * 1e-3  # noqa: E741
PHI = np.array([1.0456, 1.0438, 1.0468, 1.0428, 1.0433])


def test_h2_correlated_inputs_by_shared_causes():
    """Inputs read together are written as sums of independent causes, and shared causes carry their correlation."""
    means = np.array([V.mean(), I.mean(), PHI.mean()])
    covariance = np.cov(np.stack([V, I, PHI])) / len(V)
    root = np.linalg.cholesky(covariance)
    inputs = [
        Measured(mean, tuple((f'cause {k}', part) for k, part in enumerate(row)))
        for mean, row in zip(means, root, strict=True)
    ]
    v, i, phi = means
    r, x, z = v / i * math.cos(phi), v / i * math.sin(phi), v / i
    resistance = combine(r, ((r / v, inputs[0]), (-r / i, inputs[1]), (-x, inputs[2])), 'ohm')
    reactance = combine(x, ((x / v, inputs[0]), (-x / i, inputs[1]), (r, inputs[2])), 'ohm')
    impedance = combine(z, ((z / v, inputs[0]), (-z / i, inputs[1])), 'ohm')
    assert (r, x, z) == pytest.approx((127.732, 219.847, 254.260), abs=1e-3)
    assert (resistance.u, reactance.u, impedance.u) == pytest.approx((0.071, 0.2956, 0.236), abs=1e-3)

    def correlation(a, b):
        return sum(p * b.component(cause) for cause, p in a.components) / (a.u * b.u)

    assert correlation(resistance, reactance) == pytest.approx(-0.588, abs=1e-3)
    assert correlation(resistance, impedance) == pytest.approx(-0.485, abs=1e-3)
    assert correlation(reactance, impedance) == pytest.approx(0.993, abs=1e-3)


def test_g2_the_coverage_factor_of_all_stated_uncertainties():
    """Table G.2, degrees of freedom beyond number: k = 2.000 for 95.45 %."""
    assert COVERAGE_FACTOR == 2.0
    assert 2 * NormalDist().cdf(COVERAGE_FACTOR) - 1 == pytest.approx(0.9545, abs=5e-5)
    assert Measured(1.0, (('a', 0.5),)).expanded(COVERAGE_FACTOR) == 1.0


@pytest.mark.parametrize(
    ('u', 'half_width'),
    [(U_PRINT_UNMEASURED_RATIO, 0.005), (U_F35_ROUNDING_MM, 0.5), (U_RULER_READING_MM, 0.35)],
    ids=['printer', 'rounded focal length', 'ruler'],
)
def test_4_3_7_rectangular_half_widths(u, half_width):
    assert u == pytest.approx(0.57735 * half_width, rel=1e-5)
