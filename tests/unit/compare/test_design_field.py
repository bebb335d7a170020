"""Charts laid over each other: turns, shifts and details."""

import numpy as np
import pytest

from grader.compare.chart_match import match_charts
from grader.compare.design_chart import DesignChart
from grader.compare.design_field import fit_field
from grader.compare.fine_match import match_fine
from grader.compare.piece_colours import match_colours
from grader.compare.same_constants import CHART_POINTS, FINE_POINTS


def chart(n_points, *, seed=1, turn_deg=0.0, shift=(0.0, 0.0), stretch=0.0):
    """Coloured blobs; a turned, shifted (half widths) and stretched chart shows them moved so."""
    rng = np.random.default_rng(seed)
    axis = np.linspace(-1, 1, n_points)
    x, y = np.meshgrid(axis, axis)
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    x, y = ((x * c + y * s) - shift[0]) / (1 + stretch), ((y * c - x * s) - shift[1]) / (1 + stretch)
    light = np.zeros((n_points, n_points, 3))
    for _ in range(60):
        at, colour = rng.uniform(-0.9, 0.9, 2), rng.normal(0, 0.6, 3)
        light += np.exp(-((x - at[0]) ** 2 + (y - at[1]) ** 2) / (2 * 0.06**2))[..., None] * colour
    seen = np.hypot(*np.meshgrid(axis, axis)) < 1
    pixels = np.zeros((n_points, n_points, 2), np.float32)
    return DesignChart((4 + light).astype(np.float32), seen, pixels, 0.85)


@pytest.mark.parametrize('turn_deg', [0.0, 40.3, -120.0])
def test_the_turn_is_found_to_a_hundredth_of_a_degree(turn_deg):
    first, second = chart(CHART_POINTS), chart(CHART_POINTS, turn_deg=turn_deg, shift=(0.02, -0.03), stretch=0.02)
    start = np.radians(turn_deg + 0.7)
    field = fit_field(first, second, start, match_charts(first, second, start))
    assert np.degrees(field.turn_rad) == pytest.approx(turn_deg, abs=0.02)


def test_fine_details_agree_after_shift_and_stretch_and_not_of_another_design():
    def fine_of(**other):
        first, second = chart(CHART_POINTS), chart(CHART_POINTS, **other)
        field = fit_field(first, second, 0.0, match_charts(first, second, 0.0))
        return match_fine(chart(FINE_POINTS), chart(FINE_POINTS, **other), field)

    same, other = fine_of(shift=(0.03, 0.0), stretch=-0.02), fine_of(seed=2)
    assert np.percentile(same.likeness, 10) > 0.9
    assert np.median(same.off) < 0.002
    assert np.median(other.likeness) < 0.4


def test_a_detail_that_one_photo_lacks_counts_against():
    first, second = chart(CHART_POINTS), chart(CHART_POINTS)
    light = second.log_light.copy()
    light[40:60, 40:60] = light[40:60, 40:60].mean()
    lacking = DesignChart(light, second.seen, second.pixels, second.reach_ratio)
    match = match_charts(first, lacking, 0.0)
    x, y = match.places.T
    inside = (np.abs(x - 49.5) < 7) & (np.abs(y - 49.5) < 7)
    assert inside.any()
    assert match.likeness[inside].max() < 0.5 < np.median(match.likeness[~inside])


def test_white_balance_and_a_veil_are_no_difference_of_colour():
    rng = np.random.default_rng(3)
    hues = rng.normal(0, 0.4, (300, 2))
    alike = match_colours(np.stack([hues, 0.6 * hues + [0.08, -0.05]]))
    other = match_colours(np.stack([hues, rng.permutation(hues)]))
    assert alike.left < 0.3 < 1 < other.left
    assert alike.offset == pytest.approx(0.08, abs=0.02)


def test_too_few_places_say_nothing_of_colours():
    assert match_colours(np.zeros((2, 10, 2))).strength == 0.0
