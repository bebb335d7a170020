"""Light that was put in comes back; clipped and black shares are counted on the piece alone."""

import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.linear_light import decode_srgb, linear_grey
from grader.outline.dome_view import NoCard
from grader.quality.exposure import measure_exposure, paper_or_lightest
from tests.support.card_scene import PAPER, CardScene, photograph

WHOLE = (slice(None), slice(None))


def test_shares_of_the_piece():
    rgb = np.full((100, 100, 3), 128, np.uint8)
    inside = np.zeros((100, 100), bool)
    inside[20:80, 20:80] = True
    rgb[20:35, 20:80] = 255  # a quarter of the piece
    rgb[35:41, 20:80] = 2  # a tenth
    rgb[:20] = 255  # beside it
    found = measure_exposure(rgb, linear_grey(rgb), NoCard(""), inside, WHOLE)
    assert found.clipped_ratio == pytest.approx(0.25)
    assert found.dark_ratio == pytest.approx(0.1)
    assert found.piece_light == pytest.approx(float(decode_srgb(np.array(128 / 255))), rel=1e-5)
    assert (found.paper_light, found.card_clipped) == (None, None)
    assert paper_or_lightest(found) == 1.0


@pytest.mark.parametrize('exposure', [0.1, 0.5, 1.0], ids=str)
def test_paper_is_read_from_the_grey_patches(exposure):
    rgb = photograph(CardScene(load_card('frame'), size_px=(900, 900), focal_px=1700.0, exposure=exposure))
    inside = np.zeros(rgb.shape[:2], bool)
    inside[400:500, 400:500] = True
    found = measure_exposure(rgb, linear_grey(rgb), fit_card(rgb), inside, WHOLE)
    # Codes of dark patches are whole numbers.
    assert found.paper_light == pytest.approx(exposure * PAPER, rel=0.02)
    assert found.card_clipped is False
