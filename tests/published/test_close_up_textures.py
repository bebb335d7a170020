"""Scratches drawn on published textures: how many are found as they get clearer, and what is found without any.

The textures (brick, gravel, grass; 512 x 512, means 111.4554, 126.5450, 118.2237) come with scikit-image
(https://scikit-image.org/docs/stable/api/skimage.data.html).
"""

import numpy as np
import pytest
from skimage import data

from grader.marks.close_up import find_close_up_marks
from tests.support.scratched_glass import as_photo, coverage_of, with_line

# counted on the textures as they are; bricks have joints, gravel has stones, and these are seen
MOST_MARKS = {'brick': 90, 'gravel': 60, 'grass': 5}
LINES = [((60, 100), (220, 60)), ((300, 80), (440, 200)), ((80, 300), (200, 440)), ((300, 420), (460, 330))]


@pytest.mark.parametrize(('name', 'mean'), [('brick', 111.4554), ('gravel', 126.5450), ('grass', 118.2237)])
def test_the_texture_is_the_published_one(name, mean):
    assert getattr(data, name)().mean() == pytest.approx(mean, abs=5e-5)


@pytest.mark.parametrize('name', MOST_MARKS)
def test_false_alarms_on_the_bare_texture_are_counted(name):
    marks = [m for m in find_close_up_marks(as_photo(getattr(data, name)())) if m.confidence >= 0.5]
    assert len(marks) <= MOST_MARKS[name]


@pytest.mark.parametrize('name', ['gravel', 'grass'])
def test_more_is_found_as_contrast_grows(name):
    texture = getattr(data, name)().astype(float)
    found = []
    for sd in (0.5, 2.0, 4.0):
        grey = texture
        for start, end in LINES:
            grey = with_line(grey, start, end, 4.0, sd * texture.std())
        marks = [m for m in find_close_up_marks(as_photo(grey)) if m.confidence >= 0.5]
        found.append(
            np.mean([max([coverage_of(m.polygon_px, *line) for m in marks], default=0) > 0.7 for line in LINES])
        )
    assert found == sorted(found)
    assert found[-1] == 1.0
