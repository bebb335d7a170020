"""Where another photo shows a point inside the glass, against the shortest optical path (Fermat)."""

from itertools import pairwise

import numpy as np

from grader.compare.crop_light import light_of_crop
from grader.compare.inner_path import inner_shifts
from grader.sets.sightings import see_marks
from tests.support.changed_scene import AFTER, BEFORE, sides, take, with_marks
from tests.support.set_scene import marks_at, pixel_of_inner

INNER = np.array([0.2, 0.1, 0.25])
NEAR_PX = 1.0  # the path is broken into few depths


def test_path_passes_where_the_other_photo_shows_the_point():
    marked = with_marks(take('a', AFTER), marks_at([pixel_of_inner(AFTER.eye, INNER)], ['bubble']))
    _, alignment = sides([take('b', BEFORE)], [marked])
    (one,) = see_marks([marked], alignment.after)
    other = light_of_crop(take('b', BEFORE), alignment.before[0])
    shifts = inner_shifts(one, other)
    assert np.allclose(shifts[0], 0.0)
    on_surface = other.from_piece(one.place[None])[0][0]
    expected = pixel_of_inner(BEFORE.eye, INNER) - on_surface
    assert np.linalg.norm(expected) > 4 * NEAR_PX
    assert distance_to_path(expected, shifts) < NEAR_PX


def distance_to_path(point, path):
    """Least distance of a point to a broken line."""
    found = []
    for start, end in pairwise(path):
        along = end - start
        t = np.clip((point - start) @ along / (along @ along), 0, 1)
        found.append(np.linalg.norm(point - start - t * along))
    return min(found)
