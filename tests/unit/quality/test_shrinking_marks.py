"""The smallest scratch that is computed, against what the mark finder finds: the fast form of the benchmark."""

from pathlib import Path

import numpy as np
import pytest

from grader.outline.height import height_knowledge
from grader.outline.surface import fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.quality.assess import assess_photo
from grader.settings import Settings
from tests.support.shrinking_marks import confidences, drawn_marks

PHOTO = Path(__file__).parents[3] / 'grader' / 'demo_photos' / 'demo-coaxial.jpg'
N_MARKS = 8


@pytest.fixture(scope='module')
def seen():
    view = see_photo(load_photo(PHOTO, Settings().photos), Settings())
    surface = fit_surface(view.outline, view.card, height_knowledge(None))
    return view, surface, assess_photo(view, surface)


@pytest.mark.parametrize(
    ('ratio', 'least', 'most'), [(0.35, 0, 1), (1.0, N_MARKS // 2, N_MARKS)], ids=['below', 'above']
)
def test_scratches_are_found_above_the_smallest_and_not_below(seen, ratio, least, most):
    view, surface, quality = seen
    base_mm = quality.smallest.plain_scratch_mm if ratio < 1 else quality.smallest.scratch_mm
    rng = np.random.default_rng(8)
    drawn, points = drawn_marks(view, quality, 'scratch', ratio * base_mm, N_MARKS, rng)
    own = confidences(view, surface, points)  # marks that the piece has there anyway
    assert least <= np.count_nonzero((confidences(drawn, surface, points) > 0) & (own == 0)) <= most


def test_all_that_is_told_is_measured(seen):
    quality = seen[2]
    assert quality.verdict == 'usable'
    assert quality.flags == ()
