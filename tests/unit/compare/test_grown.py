"""A mark is grown only where the earlier photo would have shown the rest of it."""

from dataclasses import replace

import numpy as np
import pytest

from grader.compare.find_changes import find_changes
from tests.support.changed_scene import AFTER, BEFORE, TOP_PLACES, sides, take, with_marks
from tests.support.marks import make_mark
from tests.support.set_scene import pixel_of_place

WHERE = TOP_PLACES[:1]
PX_PER_MM = 7.5


def chip(shot, radius_px):
    """A round chip at the place, in the list of marks."""
    x, y = pixel_of_place(shot.eye, WHERE[0])
    turn = np.arange(24) * 2 * np.pi / 24
    outline = np.array([x, y]) + radius_px * np.column_stack([np.cos(turn), np.sin(turn)])
    return make_mark(
        'chip', 2 * radius_px / PX_PER_MM, confidence=0.9, centre_px=(float(x), float(y)), outline_px=outline
    )


def shown(name, shot, radius_px, listed_px, depth_code=50):
    """A photo of a chip that its list knows as of a size."""
    photo = take(name, shot, WHERE, WHERE, spot_px=radius_px, depth_code=depth_code)
    return with_marks(photo, [chip(shot, listed_px)])


@pytest.mark.parametrize(
    ('radius_then', 'listed_then', 'word'),
    [(6, 6, 'grown'), (14, 14, 'unchanged'), (14, 6, 'unchanged')],
    ids=['smaller before', 'as large before', 'as large before, but only a part of it was found'],
)
def test_grown(radius_then, listed_then, word):
    before, after = shown('b', BEFORE, radius_then, listed_then), shown('a', AFTER, 14, 14)
    (one,) = find_changes(*sides([before], [after]))
    assert one.change == word
    assert (one.grown_words == "3.7 mm across now, 1.6 mm before") is (word == 'grown')


def test_poor_earlier_photo_tells_no_growth():
    poor = replace(BEFORE, noise_code=60.0, blur_px=5.0)
    before, after = shown('b', poor, 6, 6), shown('a', AFTER, 14, 14, depth_code=20)
    (one,) = find_changes(*sides([before], [after]))
    assert one.change == 'unchanged'
