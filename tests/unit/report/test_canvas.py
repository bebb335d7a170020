"""Lines, dashes, hatching and text."""

import numpy as np
import pytest

from grader.report.canvas import Canvas, Text, dashes, text_width, wrapped


def blank(height=100, width=120, level=128):
    return np.full((height, width, 3), level, dtype=np.uint8)


def changed(canvas, before):
    return np.any(canvas.rgb != before, axis=2)


def test_a_line_lies_between_its_points_and_leaves_its_input_alone():
    rgb = blank()
    canvas = Canvas(rgb)
    canvas.halo_line([[10.0, 50.0], [100.0, 50.0]], (255, 255, 255), 1.0, 3.0)
    rows, columns = np.nonzero(changed(canvas, rgb))
    assert abs(rows.mean() - 50.0) < 0.1
    assert columns.min() <= 10
    assert columns.max() >= 100
    assert (rgb == 128).all()
    assert canvas.rgb[50, 60].min() > 220
    assert canvas.rgb[49, 60].max() < 128


def test_dashes_have_their_length_and_gap():
    pieces = dashes([[0.0, 0.0], [100.0, 0.0]], 10.0, 5.0)
    lengths = [np.hypot(*(piece[-1] - piece[0])) for piece in pieces]
    starts = [piece[0, 0] for piece in pieces]
    np.testing.assert_allclose(lengths[:-1], 10.0)
    np.testing.assert_allclose(np.diff(starts), 15.0)


def test_dashes_go_round_corners_and_close():
    square = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]
    (piece,) = dashes(square, 100.0, 1.0, closed=True)
    np.testing.assert_allclose(piece, [*square, square[0]])


def test_hatching_stays_in_its_area_and_leaves_most_of_it():
    rgb = blank(200, 200)
    mask = np.zeros((200, 200), dtype=bool)
    mask[50:150, 50:150] = True
    canvas = Canvas(rgb)
    canvas.hatch(mask, 16.0, 1.6, 0.5)
    hit = changed(canvas, rgb)
    assert not hit[~mask].any()
    assert 0.1 < hit[mask].mean() < 0.3


def test_a_wash_mixes_a_colour_in():
    canvas = Canvas(blank(level=100))
    canvas.wash((0.0, 0.0, 10.0, 10.0), (200, 200, 200), 0.5)
    assert tuple(canvas.rgb[5, 5]) == (150, 150, 150)
    assert tuple(canvas.rgb[5, 15]) == (100, 100, 100)


def test_text_is_written_where_it_belongs():
    rgb = blank(60, 400, 255)
    canvas = Canvas(rgb)
    canvas.texts([Text((20.0, 30.0), "largest width", 24.0)])
    rows, columns = np.nonzero(changed(canvas, rgb))
    assert columns.min() >= 19
    assert columns.max() <= 21 + text_width("largest width", 24.0)
    assert 20 < rows.mean() < 40


def test_words_wrap_and_numbers_stay_with_their_units():
    lines = wrapped("on the shoulder near 10 o'clock; almost certain (97 %); about 12 mm", 20.0, 200.0)
    assert len(lines) > 1
    assert all(text_width(line, 20.0) <= 200.0 for line in lines)
    assert not any(line.startswith(("%", "mm")) for line in lines)
    assert ' '.join(lines) == "on the shoulder near 10 o'clock; almost certain (97 %); about 12 mm"
    assert wrapped("", 20.0, 200.0) == []


@pytest.mark.parametrize('words', ["70.71 ± 0.35 mm", "95 %", "o'clock", "\"clean\""])
def test_the_font_has_all_letters_that_are_used(words):
    """A letter that the font lacks is drawn as the same box as any other it lacks."""
    missing = text_width("\ue000", 30.0)
    box = Canvas(blank(60, 100, 255))
    box.texts([Text((5.0, 30.0), "\ue000", 30.0)])
    for letter in set(words) - {' '}:
        canvas = Canvas(blank(60, 100, 255))
        canvas.texts([Text((5.0, 30.0), letter, 30.0)])
        assert text_width(letter, 30.0) != missing or (canvas.rgb != box.rgb).any(), letter
