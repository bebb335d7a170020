"""The print's true scale."""

import pytest

from calib.errors import ActionableError
from calib.print_scale import PrintScale


def test_a_print_that_nobody_measured_is_true_within_the_printers_tolerance():
    assert PrintScale().ratio == 1
    assert PrintScale().u_ratio == pytest.approx(0.00289, abs=1e-5)


def test_a_measured_ruler_gives_scale_and_a_smaller_doubt():
    scale = PrintScale.measured(94.1)
    assert scale.ratio == pytest.approx(0.941)
    assert 0.001 < scale.u_ratio < PrintScale().u_ratio


@pytest.mark.parametrize('ruler_mm', [10.0, 50.0, 200.0])
def test_another_ruler_is_refused(ruler_mm):
    with pytest.raises(
        ActionableError, match=rf'100 mm long at true size, and {ruler_mm:g} mm was given; 70 to 142'
    ) as caught:
        PrintScale.measured(ruler_mm)
    assert 'Measure the printed ruler' in caught.value.remedy


def test_a_doubt_of_nothing_is_a_bug():
    with pytest.raises(ValueError, match='u_mm must be between 0 and'):
        PrintScale(100.0, 0.0)
