"""Mirrored share of unpolarised light at a glass surface of index 1.52, mean of both polarisations.

Source: Fresnel's equations, closed form: 4.414, 5.305, 9.248, 25.672 and 61.492 % at 30, 45, 60, 75 and 85 degrees;
((n - 1) / (n + 1))^2 = 4.258 % straight on.
"""

import numpy as np
import pytest

from grader.outline.fresnel import fresnel_reflectance


@pytest.mark.parametrize(
    ('angle_deg', 'percent'), [(0, 4.258), (30, 4.414), (45, 5.305), (60, 9.248), (75, 25.672), (85, 61.492), (90, 100)]
)
def test_mirrored_share(angle_deg, percent):
    share = fresnel_reflectance(np.cos(np.radians([angle_deg])))
    assert 100 * share[0] == pytest.approx(percent, abs=1e-3)  # the table has three decimals
