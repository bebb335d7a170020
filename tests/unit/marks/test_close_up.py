"""Marks on drawn close-ups, whose place, size and kind are known."""

import numpy as np
import pytest

from grader.marks.close_up import CloseUpKind, find_close_up_marks
from tests.support.scratched_glass import as_photo, clean_glass, coverage_of, with_line, with_spot, with_track

SURE = 0.5


def sure_marks(grey):
    return [mark for mark in find_close_up_marks(as_photo(grey)) if mark.confidence >= SURE]


@pytest.mark.parametrize('contrast_code', [30, -30], ids=['bright', 'dark'])
@pytest.mark.parametrize(
    ('start', 'end', 'width_px'),
    [((60, 250), (260, 90), 2.0), ((40, 160), (280, 160), 4.0), ((150, 40), (170, 280), 6.0)],
    ids=['thin', 'level', 'broad'],
)
def test_a_scratch_has_its_length_width_and_place(start, end, width_px, contrast_code):
    grey = with_line(clean_glass(1), start, end, width_px, contrast_code)
    mark = sure_marks(grey)[0]
    assert mark.kind is CloseUpKind.SCRATCH
    assert coverage_of(mark.polygon_px, start, end) > 0.95
    # ends are known to half the shortest filter
    assert mark.length_px == pytest.approx(np.hypot(*np.subtract(end, start)), abs=12)
    # outlines run through whole pixels, one on each side
    assert mark.width_px == pytest.approx(width_px, abs=3.0)


def test_only_the_scratch_is_found():
    start, end = (60, 250), (260, 90)
    marks = sure_marks(with_line(clean_glass(2), start, end, 3.0, 25))
    assert len(marks) == 1


def test_the_darkness_tells_dark_from_bright():
    bright = sure_marks(with_spot(clean_glass(3), (100, 120), 9, 60))[0]
    dark = sure_marks(with_spot(clean_glass(3), (100, 120), 9, -60))[0]
    assert bright.darkness_ratio < 0.1
    assert dark.darkness_ratio > 0.9


def test_light_lost_counts_more_than_light_gained():
    bright = sure_marks(with_spot(clean_glass(3), (100, 120), 9, 60))[0]
    dark = sure_marks(with_spot(clean_glass(3), (100, 120), 9, -60))[0]
    assert dark.salience > bright.salience


@pytest.mark.parametrize('diameter_px', [5, 9, 20, 60])
@pytest.mark.parametrize('contrast_code', [60, -60], ids=['bright', 'dark'])
def test_a_spot_is_a_spot_of_its_size(diameter_px, contrast_code):
    marks = sure_marks(with_spot(clean_glass(4), (150, 170), diameter_px, contrast_code))
    mark = marks[0]
    assert mark.kind is CloseUpKind.SPOT
    low, high = mark.polygon_px.min(axis=0), mark.polygon_px.max(axis=0)
    assert (low + high) / 2 == pytest.approx((150, 170), abs=1.5)
    # the blur of the evidence widens small spots by 2 px on each side
    assert high - low + 1 == pytest.approx((diameter_px, diameter_px), abs=5)


def test_a_grainy_track_is_a_contusion_and_one_mark():
    start, end = (60, 60), (260, 250)
    marks = sure_marks(with_track(clean_glass(5), start, end, 30, 20, seed=6))
    assert marks[0].kind is CloseUpKind.CONTUSION
    assert coverage_of(marks[0].polygon_px, start, end) > 0.9
    assert len(marks) <= 3


def test_pieces_in_one_line_are_one_mark():
    grey = clean_glass(7)
    for start, end in (((40, 60), (110, 103)), ((125, 112), (200, 158)), ((215, 167), (280, 207))):
        grey = with_line(grey, start, end, 2.5, 14)
    marks = sure_marks(grey)
    assert coverage_of(marks[0].polygon_px, (40, 60), (280, 207), reach_px=3.0) > 0.9


def test_crossing_scratches_are_two_marks():
    grey = with_line(clean_glass(8), (40, 60), (280, 200), 2.0, 15)
    grey = with_line(grey, (60, 250), (240, 40), 2.0, 15)
    long = [mark for mark in sure_marks(grey) if mark.length_px > 60]
    assert len(long) >= 2
    for start, end in (((40, 60), (280, 200)), ((60, 250), (240, 40))):
        assert max(coverage_of(mark.polygon_px, start, end) for mark in long) > 0.4


@pytest.mark.parametrize('seed', range(4))
@pytest.mark.parametrize('noise_code', [0.5, 2.0, 8.0])
def test_clean_glass_has_no_marks(seed, noise_code):
    assert sure_marks(clean_glass(seed, noise_code=noise_code)) == []


def test_a_smooth_haze_is_no_mark():
    grey = clean_glass(9)
    y, x = np.mgrid[:320, :320]
    haze = 20 * np.exp(-((x - 200) ** 2 + (y - 120) ** 2) / (2 * 70.0**2))
    assert sure_marks(grey + haze) == []


@pytest.mark.parametrize('value', [0, 128, 255], ids=['black', 'grey', 'white'])
def test_a_blank_photo_has_no_marks(value):
    assert find_close_up_marks(np.full((200, 300, 3), value, np.uint8)) == ()


@pytest.mark.parametrize('shape', [(1, 1), (5, 400), (23, 23), (24, 24), (24, 700)], ids=str)
def test_tiny_photos_are_no_trouble(shape):
    rng = np.random.default_rng(10)
    rgb = rng.integers(0, 256, (*shape, 3)).astype(np.uint8)
    assert isinstance(find_close_up_marks(rgb), tuple)


@pytest.mark.parametrize(
    'rgb',
    [np.zeros((50, 50), np.uint8), np.zeros((50, 50, 4), np.uint8), np.zeros((50, 50, 3), np.float32)],
    ids=['grey', 'four channels', 'float'],
)
def test_other_arrays_are_refused(rgb):
    with pytest.raises(ValueError, match='rgb must be uint8 of shape'):
        find_close_up_marks(rgb)


def test_a_large_photo_is_searched_reduced_and_told_in_its_own_pixels():
    grey = with_line(clean_glass(11, (1000, 2000)), (300, 700), (1500, 400), 8.0, 40)
    mark = sure_marks(grey)[0]
    assert coverage_of(mark.polygon_px, (300, 700), (1500, 400), reach_px=3.0) > 0.95
    assert mark.length_px == pytest.approx(np.hypot(1200, 300), rel=0.03)


def test_the_photo_is_not_changed_and_the_answer_repeats():
    rgb = as_photo(with_line(clean_glass(12), (60, 250), (260, 90), 2.0, 20))
    rgb.setflags(write=False)
    first, second = find_close_up_marks(rgb), find_close_up_marks(rgb)
    assert [m.confidence for m in first] == [m.confidence for m in second]
    assert all(np.array_equal(a.polygon_px, b.polygon_px) for a, b in zip(first, second, strict=True))


def test_marks_come_surest_first_and_are_read_only():
    grey = with_line(clean_glass(13), (60, 250), (260, 90), 2.0, 10)
    marks = find_close_up_marks(as_photo(with_spot(grey, (80, 80), 9, 90)))
    assert [m.salience for m in marks] == sorted((m.salience for m in marks), reverse=True)
    with pytest.raises(ValueError, match='read-only'):
        marks[0].polygon_px[0, 0] = 0.0
