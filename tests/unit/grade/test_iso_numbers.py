"""Marks told by the size and counting conventions of ISO 10110."""

import pytest

from grader.grade.iso10110 import grade_number, iso_numbers
from tests.support.marks import make_mark


def test_long_scratch_is_told_by_its_width():
    """A 12 mm x 0.010 mm scratch is longer than 2 mm: `L1 x 0.010`, whatever its area."""
    assert iso_numbers([make_mark('scratch', 12.0, 0.010)]).surface == 'L1 x 0.010'


def test_kinds_go_to_their_numbers():
    marks = [
        make_mark('chip', 2.0),
        make_mark('chip', 1.0),
        make_mark('bruise', 1.0),
        make_mark('scratch', 1.9, 0.2),
        make_mark('scratch', 9.0, 0.2),
        make_mark('scratch', 9.0, 0.24),
        make_mark('bubble', 1.0),
        make_mark('dust', 3.0, 0.05),
        make_mark('chip', 4.0, confidence=0.49),
    ]
    numbers = iso_numbers(marks)
    assert numbers.surface == '5/1 x 2.5, 2 x 1.0, 1 x 0.63; L2 x 0.25'
    assert numbers.bubbles == '1/1 x 1.0'


def test_no_marks_give_no_numbers():
    numbers = iso_numbers([])
    assert (numbers.surface, numbers.bubbles) == ('', '')


def test_without_a_card_the_note_says_why():
    numbers = iso_numbers([make_mark('chip', 1.0, with_card=False)])
    assert (numbers.surface, numbers.bubbles) == ('', '')
    assert numbers.note == "Without a card there are no millimetres, so no such numbers."


def test_never_claims_to_meet_a_standard():
    numbers = iso_numbers([make_mark('chip', 1.0), make_mark('bubble', 1.0)])
    assert 'conform' not in ' '.join((numbers.surface, numbers.bubbles, numbers.note)).lower()


def test_negative_area_is_refused():
    with pytest.raises(ValueError, match='area must not be negative'):
        grade_number(-1.0)
