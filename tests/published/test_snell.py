"""Refraction at a flat surface of glass.

Sources: Snell's law, sin a = n sin b, in numbers: 30 degrees become 19.205 at n = 1.52, 60 become 34.733 (closed form);
apparent depth straight on, d' = d / n (Hecht, Optics, chapter 4; from memory).
"""

import numpy as np
import pytest

from grader.sets.refraction import refract

UP = np.array([[0.0, 0.0, 1.0]])


@pytest.mark.parametrize(('in_deg', 'out_deg'), [(0.0, 0.0), (30.0, 19.205), (60.0, 34.733)])
def test_angles(in_deg, out_deg):
    angle = np.radians(in_deg)
    bent = refract(np.array([[np.sin(angle), 0.0, -np.cos(angle)]]), UP, 1.52)[0]
    assert np.linalg.norm(bent) == pytest.approx(1.0)
    assert np.degrees(np.arctan2(bent[0], -bent[2])) == pytest.approx(out_deg, abs=1e-3)  # three decimals are given


def test_apparent_depth():
    depth, lean = 15.0, 1e-4
    bent = refract(np.array([[lean, 0.0, -np.sqrt(1 - lean**2)]]), UP, 1.52)[0]
    aside = depth * bent[0] / -bent[2]  # where a ray that leans a little reaches the depth
    assert aside / lean == pytest.approx(depth / 1.52, rel=1e-6)  # paraxial: the lean squared is 1e-8
