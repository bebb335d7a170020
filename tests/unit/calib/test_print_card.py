"""The printed page, read back from a rendering of it."""

import numpy as np
import pymupdf
import pytest

from calib.card import CARD_NAMES, load_card
from calib.constants import PAPER_SIZES_MM, RULER_MM
from calib.markers import find_markers
from calib.print_card import card_centre_on_page_mm, write_card_pdf

DPI = 300
PX_PER_MM = DPI / 25.4
PT_PER_MM = 72 / 25.4
# What the page may be off the spec, for the sake of rendering at 0.085 mm a pixel.
TOLERANCE_MM = 0.05

PAGES = [(name, paper) for name in CARD_NAMES for paper in PAPER_SIZES_MM]


@pytest.fixture(scope='module', params=PAGES, ids=['-'.join(page) for page in PAGES])
def page(request, tmp_path_factory):
    name, paper = request.param
    path = tmp_path_factory.mktemp('card') / 'card.pdf'
    write_card_pdf(load_card(name), paper, path)
    with pymupdf.open(path) as document:
        assert document.page_count == 1
        pixmap = document[0].get_pixmap(dpi=DPI)
        picture = np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width, 3)
        return name, paper, picture, document[0].get_drawings(), document[0].get_text(), tuple(document[0].rect)[2:]


def test_the_paper_has_its_true_size(page):
    _, paper, *_, size_pt = page
    np.testing.assert_allclose(np.array(size_pt) / PT_PER_MM, PAPER_SIZES_MM[paper], atol=0.01)


def test_all_markers_are_read_in_their_places(page):
    name, paper, picture, *_ = page
    card = load_card(name)
    found = find_markers(picture)
    assert tuple(found.ids) == tuple(sorted(card.marker_ids))
    left, bottom = card_centre_on_page_mm(card, paper)
    printed = np.stack([card.marker_corners_mm(int(one))[:, :2] for one in found.ids])
    places = np.stack([printed[..., 0] + left, PAPER_SIZES_MM[paper][1] - (printed[..., 1] + bottom)], axis=-1)
    seen_mm = (found.corners_px + 0.5) / PX_PER_MM
    assert np.abs(seen_mm - places).max() < TOLERANCE_MM


def test_grey_patches_have_their_code_values(page):
    name, paper, picture, *_ = page
    card = load_card(name)
    left, bottom = card_centre_on_page_mm(card, paper)
    codes = []
    for patch in card.grey_patches:
        x, y = patch.centre_mm[0] + left, PAPER_SIZES_MM[paper][1] - (patch.centre_mm[1] + bottom)
        codes.append(int(picture[round(y * PX_PER_MM), round(x * PX_PER_MM), 1]))
    np.testing.assert_allclose(codes, [63, 118, 180, 225], atol=2)  # 0.05, 0.18, 0.45, 0.75 by the sRGB formula


def test_the_ruler_is_100_mm_long_and_has_a_tick_each_millimetre(page):
    drawings = page[3]
    lines = [item[1:3] for drawing in drawings for item in drawing['items'] if item[0] == 'l']
    level = [(a, b) for a, b in lines if a.y == b.y and abs(b.x - a.x) > 50 * PT_PER_MM]
    assert len(level) == 1
    start, end = level[0]
    assert abs(end.x - start.x) / PT_PER_MM == pytest.approx(RULER_MM, abs=0.01)
    ticks = sorted(a.x for a, b in lines if a.x == b.x and start.y in (a.y, b.y))
    np.testing.assert_allclose(np.diff(ticks) / PT_PER_MM, 1, atol=0.01)
    assert len(ticks) == 101


def test_cut_marks_point_at_the_cards_edges_from_outside(page):
    name, paper, _, drawings, *_ = page
    card = load_card(name)
    left, bottom = card_centre_on_page_mm(card, paper)
    half_x, half_y = (side / 2 for side in card.outer_size_mm)
    lines = [item[1:3] for drawing in drawings for item in drawing['items'] if item[0] == 'l']
    top_mm = PAPER_SIZES_MM[paper][1]
    marks = [
        (a, b)
        for a, b in lines
        if any(abs(a.x / PT_PER_MM - (left + s * half_x)) < 0.01 and a.x == b.x for s in (-1, 1))
        or any(abs(top_mm - a.y / PT_PER_MM - (bottom + s * half_y)) < 0.01 and a.y == b.y for s in (-1, 1))
    ]
    assert len(marks) == 8
    for a, b in marks:
        for point in (a, b):
            x, y = point.x / PT_PER_MM - left, top_mm - point.y / PT_PER_MM - bottom
            assert max(abs(x) - half_x, abs(y) - half_y) > 1


def test_everything_is_clear_of_the_margin_that_printers_leave(page):
    picture = page[2]
    margin = round(5 * PX_PER_MM)
    border = picture.copy()
    border[margin:-margin, margin:-margin] = 255
    # Cut marks of the frame card reach to 4 mm from the side; nothing that is measured does.
    assert np.mean(border < 128) < 2e-4


def test_instructions_say_what_to_do(page):
    text = page[4]
    assert 'Print at 100 % ("actual size")' in text
    assert 'measure this ruler' in text
    assert 'Cut along the corner marks' in text


def test_the_same_card_gives_the_same_bytes(tmp_path):
    for name in ('a.pdf', 'b.pdf'):
        write_card_pdf(load_card('frame'), 'a4', tmp_path / name)
    assert (tmp_path / 'a.pdf').read_bytes() == (tmp_path / 'b.pdf').read_bytes()


def test_another_paper_is_a_bug(tmp_path):
    with pytest.raises(ValueError, match=r"paper must be one of .* got 'a3'"):
        write_card_pdf(load_card('frame'), 'a3', tmp_path / 'card.pdf')
