"""Words for sizes, places and likelihood."""

from dataclasses import replace

import pytest

from grader.grade.words import (
    clock_number,
    confidence_words,
    count_words,
    length_words,
    percent_words,
    place_words,
    points_words,
    size_words,
)
from grader.marks.mark import MarkKind
from tests.support.marks import make_mark


@pytest.mark.parametrize(
    ('clock_h', 'number'), [(0.0, 12), (0.49, 12), (0.5, 1), (3.2, 3), (11.4, 11), (11.5, 12), (11.99, 12)]
)
def test_clock_number(clock_h, number):
    assert clock_number(clock_h) == number


@pytest.mark.parametrize(
    ('confidence', 'words'),
    [(1.0, "almost certain"), (0.8, "very likely"), (0.7, "likely"), (0.5, "more likely than not"),
     (0.3, "possible"), (0.0, "doubtful")],
)  # fmt: skip
def test_confidence_words(confidence, words):
    assert confidence_words(confidence) == words


@pytest.mark.parametrize(
    ('ratio', 'words'),
    [(0.0, "0 %"), (0.004, "less than 1 %"), (0.123, "12 %"), (0.999, "more than 99 %"), (1.0, "100 %")],
)
def test_percent_words(ratio, words):
    assert percent_words(ratio) == words


@pytest.mark.parametrize(
    ('points', 'words'), [(0.0, "nothing"), (0.3, "less than a point"), (1.2, "about 1 point"), (7.6, "about 8 points")]
)
def test_points_words(points, words):
    assert points_words(points) == words


def test_sizes_with_and_without_a_card():
    scratch = make_mark('scratch', 12.14, 0.2)
    assert size_words(scratch, 700.0) == "12.1 mm long, 0.20 mm wide"
    assert size_words(make_mark('scratch', 12.14, 0.2, with_card=False), 700.0) == "17.3 % of the width long"
    assert size_words(make_mark('chip', 2.4), 700.0) == "2.4 mm across"
    assert size_words(make_mark('chip', 2.4, with_card=False), 700.0) == "3.4 % of the width across"
    assert length_words(None, 1.4, 700.0) == "0.20 % of the width"
    assert length_words(make_mark('scratch', 123.4, 1).length_mm, 0.0, 1.0) == "123 mm"


@pytest.mark.parametrize(
    ('zone', 'clock_h', 'words'),
    [
        ("crown", 2.1, "on the crown near 2 o'clock"),
        ("rim", None, "on the rim"),
        ("", 2.1, "near 2 o'clock"),
        ("", None, ""),
    ],
)
def test_places(zone, clock_h, words):
    assert place_words(replace(make_mark(), zone=zone, clock_h=clock_h)) == words


def test_counts():
    assert count_words(MarkKind.SCRATCH, 1) == "1 scratch"
    assert count_words(MarkKind.SCRATCH, 3) == "3 scratches"
