"""Turning a photo changes neither what is found nor, beyond a small part of its doubt, what is measured."""

import numpy as np
import pytest
from PIL import Image

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.rules import CURRENT_RULES, load_rules
from grader.opencv_pin import pin_opencv
from grader.photos.load import load_photo
from grader.pipeline import examine_view, height_of_piece, see_photo
from grader.record_build import findings_of
from grader.settings import PhotoLimits, Settings
from grader.size.profile import measure_profile
from tests.support.example_photos import demo_photos

RULES = load_rules(CURRENT_RULES)
# Marker corners are found anew in the turned pixels: their scatter, a small share of the whole doubt.
SHARE_OF_U = 0.25
# The outline's scatter moves the glass below a mark, and with it the mark's size, by a little.
MOST_POINTS = 1.0


def examined(path):
    pin_opencv()
    view = see_photo(load_photo(path, PhotoLimits()), Settings())
    return examine_view(view, height_of_piece(measure_profile([view]), Settings()), RULES)


def reported(findings):
    return [mark for mark in findings.marks if mark.confidence >= REPORTED_CONFIDENCE]


@pytest.fixture(scope='module')
def upright():
    return examined(demo_photos()[0])


def test_a_turn_noted_in_exif_changes_nothing(upright, tmp_path):
    # Orientation 8: the stored rows are the scene's columns from right to left, so it is stored turned clockwise.
    exif = Image.Exif()
    exif[0x0112] = 8
    if upright.view.photo.f35_mm is not None:
        exif.get_ifd(0x8769)[0xA405] = round(upright.view.photo.f35_mm)
    path = tmp_path / upright.view.photo.name
    Image.fromarray(np.rot90(upright.view.photo.rgb, -1)).save(path, 'PNG', exif=exif.tobytes())
    assert findings_of(examined(path)) == findings_of(upright)


@pytest.mark.parametrize('quarter_turns', [1, 2, 3])
def test_a_turned_photo_measures_the_same(upright, tmp_path, quarter_turns):
    path = tmp_path / 'turned.png'
    exif = Image.Exif()
    if upright.view.photo.f35_mm is not None:
        exif.get_ifd(0x8769)[0xA405] = round(upright.view.photo.f35_mm)
    Image.fromarray(np.rot90(upright.view.photo.rgb, quarter_turns)).save(path, exif=exif.tobytes())
    turned = examined(path)
    for before, after in (
        (upright.diameters.max_mm, turned.diameters.max_mm),
        (upright.diameters.min_mm, turned.diameters.min_mm),
    ):
        assert abs(after.value - before.value) < SHARE_OF_U * before.u
    # The card tells which way is up, so the network sees the piece alike; only the outline differs by its scatter.
    assert turned.grade.score == pytest.approx(upright.grade.score, abs=MOST_POINTS)
    assert len(reported(turned)) == len(reported(upright))
    # The card turns with the piece, so directions on it stay.
    apart_deg = abs(turned.diameters.max_direction_deg - upright.diameters.max_direction_deg) % 180
    assert min(apart_deg, 180 - apart_deg) < 15
