"""The scale that a piece gives to a photo without a card."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from calib.measured import Measured
from grader.compare.piece_scale import VIEW, scale_by_card, scale_by_piece, with_sizes
from grader.outline.dome_view import NoCard
from grader.outline.height import UsualShape
from grader.outline.surface import fit_surface
from tests.support.compared_sides import set_photo_of, without_card

WIDTH_MM = Measured(80.0, (('outline', 0.4),))


def test_a_card_tells_the_scale_itself():
    photo = set_photo_of(0)
    scale = scale_by_card(photo)
    assert scale.is_by_card
    assert 1 / scale.mm_per_px.value == pytest.approx(photo.findings.quality.placing.px_per_mm)
    assert scale_by_card(without_card(photo)) is None


def test_the_piece_tells_it_with_more_doubt():
    photo = without_card(set_photo_of(0))
    scale = scale_by_piece(photo, WIDTH_MM)
    assert not scale.is_by_card
    assert scale.mm_per_px.value * photo.findings.diameters.max_px == pytest.approx(80.0)
    assert scale.mm_per_px.component(VIEW) == pytest.approx(0.03 * scale.mm_per_px.value)
    assert scale.mm_per_px.u / scale.mm_per_px.value == pytest.approx(np.hypot(0.03, 0.4 / 80))


def test_sizes_by_the_piece_agree_with_those_by_the_card():
    """The photo's marks, measured once by its card and once as in a photo without one, by the width alone."""
    photo = set_photo_of(0)
    view = photo.findings.view
    surface = fit_surface(view.outline, NoCard("made by hand"), UsualShape())
    bare = SimpleNamespace(surface=surface, findings=photo.findings)
    scale = scale_by_piece(bare, photo.findings.diameters.max_mm)
    marks = [mark for mark in photo.findings.marks if mark.confidence > 0.5]
    assert len(marks) > 2
    for mark in marks:
        sized = with_sizes(replace(mark, length_mm=None, width_mm=None, diameter_mm=None), bare, scale)
        # What is not known of the view is 3 % and more; the mark itself is the same.
        assert sized.diameter_mm.value == pytest.approx(mark.diameter_mm.value, rel=0.07)
        assert sized.length_mm.value == pytest.approx(mark.length_mm.value, rel=0.07)
        assert sized.diameter_mm.u > mark.diameter_mm.u * 0.9
        assert sized.area_mm2 == pytest.approx(np.pi / 4 * sized.diameter_mm.value**2)
