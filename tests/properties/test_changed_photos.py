"""What a camera or a program does to a photo changes its answer by no more than was found on rendered pieces.

The limits are those of ``python -m tests.benchmark.sensitivity``, widened where one photo scatters more than a mean.
"""

import pytest

from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.settings import CardSettings, Settings
from tests.support.changed_photo import balanced, blurred, exposed, noisy, turned, unchanged, write_changed
from tests.support.run_grader import ROOT

# Points of the score. Source: the worst of seven pieces under changes as small as these, see README.
MOST_POINTS = 8.0
# Shares of both widths' doubt together. Source: the same table: none was surely apart.
MOST_OF_U = 1.0

PHOTO = ROOT / 'fixtures' / 'photos' / 'pocket-card.jpg'

MILD = {
    'darker': exposed(0.6),
    'warmer': balanced(1.15, 0.85),
    'noisier': noisy(4),
    'a quarter turned': turned(1),
}


def examined(path, **card):
    settings = Settings(card=CardSettings(**card))
    return examine_photos([path], settings, now=None, progress=SilentProgress()).record


@pytest.fixture(scope='module')
def usual_photo(tmp_path_factory):
    path = tmp_path_factory.mktemp('usual') / 'photo.jpg'
    write_changed(PHOTO, unchanged, path)
    return path


@pytest.fixture(scope='module')
def usual(usual_photo):
    return examined(usual_photo)


def widths_of(before, after):
    return before.measurements.diameter_max_mm, after.measurements.diameter_max_mm


@pytest.mark.parametrize('how', MILD)
def test_mild_changes_change_little(usual, tmp_path, how):
    path = tmp_path / 'photo.jpg'
    write_changed(PHOTO, MILD[how], path)
    after = examined(path)
    assert abs(after.grade.score - usual.grade.score) <= MOST_POINTS
    width, other = widths_of(usual, after)
    apart = (width.expanded_uncertainty**2 + other.expanded_uncertainty**2) ** 0.5
    assert abs(other.value - width.value) <= MOST_OF_U * apart


def test_compression_changes_little(usual, tmp_path):
    path = tmp_path / 'photo.jpg'
    write_changed(PHOTO, unchanged, path, quality=60)
    after = examined(path)
    assert abs(after.grade.score - usual.grade.score) <= MOST_POINTS
    width, other = widths_of(usual, after)
    assert abs(other.value - width.value) <= width.expanded_uncertainty


def test_sizes_follow_the_stated_ruler_and_the_score_hardly(usual, usual_photo):
    after = examined(usual_photo, measured_ruler_mm=101.0)
    width, other = widths_of(usual, after)
    # A caliper's reading of the ruler is the print's scale, card and piece alike.
    assert other.value / width.value == pytest.approx(1.01, abs=0.004)
    assert abs(after.grade.score - usual.grade.score) <= MOST_POINTS


def test_blur_never_promises_finer_marks(usual, tmp_path):
    path = tmp_path / 'photo.jpg'
    write_changed(PHOTO, blurred(3.0), path)
    before, after = usual.quality, examined(path).quality
    for name in ('smallest_scratch_mm', 'smallest_chip_mm'):
        # None: not even the largest that is asked for would show.
        assert getattr(after, name) is None or getattr(after, name) > getattr(before, name)
