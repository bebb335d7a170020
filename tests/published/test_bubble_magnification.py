"""A bubble seen through the dome: where it seems to lie, and how much larger it looks.

Source: paraxial refraction at one sphere, n / t - 1 / t' = (n - 1) / R and m = n t' / t (closed form; Hecht, Optics,
chapter 5, from memory), R = 35 mm, n = 1.52; tables recomputed.
"""

import math

import numpy as np
import pytest

from grader.marks.constants import BUBBLE_MAGNIFICATION, U_BUBBLE_MAGNIFICATION
from grader.sets.constants import GLASS_INDEX
from grader.sets.refraction import refract

R_MM = 35.0
TABLE = [
    (5, 3.4585, 1.0514), (10, 7.2917, 1.1083), (20, 16.3551, 1.2430), (35, 35.0000, 1.5200), (50, 64.3382, 1.9559),
]  # fmt: skip


@pytest.mark.parametrize(('depth_mm', 'seen_mm', 'magnified'), TABLE)
def test_a_ray_that_aims_at_the_image_meets_the_bubble(depth_mm, seen_mm, magnified):
    """Rays of the program's own, near the axis, from high above the top of a sphere about (0, 0, 0)."""
    aside = 1e-3
    hit = np.array([aside, 0.0, math.sqrt(R_MM**2 - aside**2)])
    image = np.array([0.0, 0.0, R_MM - seen_mm])
    inward = (image - hit) / np.linalg.norm(image - hit)
    bent = refract(inward[None], hit[None] / R_MM, 1.52)[0]
    met = hit[2] - bent[2] * hit[0] / bent[0]
    assert R_MM - met == pytest.approx(depth_mm, rel=1e-4)  # t' has four decimals

    # Through the top itself the angle shrinks by n, so the image of what is off the axis is larger by n t' / t.
    lean = np.array([1e-4, 0.0, -math.sqrt(1 - 1e-8)])
    inside = refract(lean[None], np.array([[0.0, 0.0, 1.0]]), 1.52)[0]
    assert seen_mm * lean[0] / (depth_mm * inside[0] / -inside[2]) == pytest.approx(magnified, rel=1e-4)


def test_the_magnification_taken_for_bubbles_of_unknown_depth():
    assert GLASS_INDEX == 1.52
    depths = np.linspace(0.15, 0.85, 1001) * R_MM
    seen = 1 / (1.52 / depths - 0.52 / R_MM)
    magnified = 1.52 * seen / depths
    assert (magnified[0], magnified[-1]) == pytest.approx((1.05, 1.41), abs=0.005)
    assert magnified.mean() == pytest.approx(BUBBLE_MAGNIFICATION, abs=0.02)
    # Relative, rectangular over the range; the stated one is rounded up.
    assert np.ptp(magnified) / math.sqrt(12) / BUBBLE_MAGNIFICATION == pytest.approx(0.09, abs=0.005)
    assert np.ptp(magnified) / math.sqrt(12) / BUBBLE_MAGNIFICATION <= U_BUBBLE_MAGNIFICATION
