"""Sizes of marks on a dome of known size."""

import numpy as np
import pytest

from grader.marks.constants import BUBBLE_MAGNIFICATION
from grader.marks.mark import MarkKind
from grader.marks.measure_mark import measure_region
from grader.marks.regions import find_regions, region_outline
from grader.outline.dome_view import NoCard
from grader.outline.height import UsualShape
from grader.outline.surface import fit_surface
from tests.support.odds_picture import make_crop, make_odds
from tests.support.piece_view import make_view

RADIUS_PX = 5000.0  # so large that the glass under the crop is flat
MIDDLE_PX = (100.0, 100.0)


@pytest.fixture(scope='module')
def surface():
    view = make_view(radius_px=RADIUS_PX, size_px=(60, 60), centre_px=MIDDLE_PX)
    return fit_surface(view.outline, NoCard("made by hand"), UsualShape())


def measure(mark, surface, crop=None):
    crop = crop or make_crop()
    (region,) = find_regions(make_odds([mark]))
    return measure_region(region, mark[0], crop.to_photo(region_outline(region)), crop, surface)


@pytest.mark.parametrize('radius_px', [4, 8, 15])
def test_a_chip_is_as_wide_as_its_disc(radius_px, surface):
    sizes = measure((MarkKind.CHIP, 0.9, (100, 100, radius_px), 0), surface)
    assert sizes.diameter_px == pytest.approx(2 * radius_px, rel=0.05)
    assert sizes.diameter.value == pytest.approx(2 * radius_px / (2 * RADIUS_PX), rel=0.05)


def test_a_bubble_is_smaller_than_it_looks(surface):
    chip = measure((MarkKind.CHIP, 0.9, (100, 100, 8), 0), surface)
    bubble = measure((MarkKind.BUBBLE, 0.9, (100, 100, 8), 0), surface)
    assert bubble.diameter.value == pytest.approx(chip.diameter.value / BUBBLE_MAGNIFICATION)


def test_a_scratch_has_its_length_and_width(surface):
    mark = (MarkKind.SCRATCH, 0.9, [(30, 100), (170, 100)], 3)
    n_rows = np.count_nonzero(make_odds([mark])[:, :, 100].max(axis=0) > 0.5)
    sizes = measure(mark, surface)
    assert sizes.length_px == pytest.approx(140, abs=4)
    assert sizes.width_px == pytest.approx(n_rows, rel=0.05)
    assert sizes.length.value == pytest.approx(sizes.length_px / (2 * RADIUS_PX), rel=0.01)


def test_a_coarser_crop_does_not_change_the_size_in_the_photo(surface):
    fine = measure((MarkKind.CHIP, 0.9, (100, 100, 8), 0), surface)
    coarse = measure((MarkKind.CHIP, 0.9, (100, 100, 8), 0), surface, make_crop(scale_ratio=0.5))
    assert coarse.diameter_px == pytest.approx(2 * fine.diameter_px)


def test_doubt_names_its_causes(surface):
    chip = measure((MarkKind.CHIP, 0.9, (100, 100, 8), 0), surface)
    bubble = measure((MarkKind.BUBBLE, 0.9, (100, 100, 8), 0), surface)
    assert {name for name, _ in chip.diameter.components} == {"edges of the mark", "how far the mark reaches"}
    assert "depth in the glass" in {name for name, _ in bubble.diameter.components}
    assert bubble.diameter.u / bubble.diameter.value > chip.diameter.u / chip.diameter.value


def test_glass_that_slopes_away_is_larger_than_it_looks():
    view = make_view(radius_px=150.0, size_px=(60, 60), centre_px=MIDDLE_PX)
    dome = fit_surface(view.outline, NoCard("made by hand"), UsualShape())
    top = measure((MarkKind.CHIP, 0.9, (100, 100, 5), 0), dome)
    slope = measure((MarkKind.CHIP, 0.9, (190, 100, 5), 0), dome)
    assert slope.diameter_px == pytest.approx(top.diameter_px, rel=0.02)
    assert slope.diameter.value > 1.05 * top.diameter.value
    assert np.isfinite(slope.diameter.u)
