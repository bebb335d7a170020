import numpy as np
import pytest

from grader.outline.hull_width import hull_widths


def test_an_ellipse_is_as_wide_as_its_axes():
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    angle = np.radians(30)
    flat = np.column_stack([35 * np.cos(turn), 30 * np.sin(turn)])
    points = flat @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    widths = hull_widths(points + np.array([100, -50]))
    assert (widths.largest, widths.smallest) == pytest.approx((70, 60), abs=1e-3)
    assert (widths.largest_deg, widths.smallest_deg) == pytest.approx((30, 120), abs=0.5)
    assert np.linalg.norm(np.diff(widths.largest_ends, axis=0)) == pytest.approx(70, abs=1e-2)


def test_a_square_is_widest_across_its_corners():
    widths = hull_widths(np.array([[0.0, 0], [2, 0], [2, 2], [0, 2]]))
    assert widths.largest == pytest.approx(2 * np.sqrt(2)) and widths.smallest == pytest.approx(2)
    assert widths.largest_deg in (45, 135)


def test_a_dent_does_not_change_the_caliper():
    square = np.array([[0.0, 0], [2, 0], [2, 2], [1, 1.2], [0, 2]])
    assert hull_widths(square).smallest == pytest.approx(2)
