"""The scale that a piece gives to a photo without a card."""

from dataclasses import replace

import numpy as np
import pytest

from calib.measured import Measured
from grader.compare.piece_scale import VIEW, scale_by_card, scale_by_piece, with_sizes
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
    """The photo's marks, measured once by its card and once by the width alone."""
    photo = set_photo_of(0)
    width = photo.findings.diameters.max_mm
    bare = without_card(photo)
    scale = scale_by_piece(bare, width)
    # As in a photo without a card, lengths on the glass are in widths of the piece.
    unit = replace(photo.surface, shape=photo.surface.shape)
    assert unit.is_metric
    for mark in photo.findings.marks[:6]:
        sized = with_sizes(
            replace(mark, length_mm=None, width_mm=None, diameter_mm=None), _in_widths(bare, width), scale
        )
        # The view is from above and near: within the stated doubt of the two together, k = 2.
        assert sized.diameter_mm.value == pytest.approx(
            mark.diameter_mm.value * (1.2 if mark.kind == 'bubble' else 1.0), abs=2 * np.hypot(sized.diameter_mm.u, mark.diameter_mm.u)
        )  # fmt: skip
        assert sized.area_mm2 == pytest.approx(np.pi / 4 * sized.diameter_mm.value**2)


def _in_widths(photo, width):
    """The photo with a surface whose unit is the width of the piece."""

    class Surface:
        def locate(self, points_px):
            found = photo.surface.locate(points_px)
            return replace(found, points_mm=found.points_mm / width.value)

    return type('Photo', (), {'surface': Surface(), 'findings': photo.findings})()
