"""The line round a mark keeps its distance."""

import numpy as np
import pytest

from grader.report.mark_shapes import lines_round


def test_the_line_keeps_its_distance_from_the_mark():
    scratch = np.array([[50.0, 50.0], [150.0, 80.0], [149.0, 83.0], [49.0, 53.0]])
    (line,) = lines_round(scratch, 8.0, 5.0)
    dense = np.vstack([np.linspace(a, b, 200) for a, b in zip(scratch, np.roll(scratch, -1, axis=0), strict=True)])
    apart = np.hypot(*(line[:, None] - dense[None]).transpose(2, 0, 1)).min(axis=1)
    # The line runs on whole pixels, smoothed over five of them.
    assert apart.min() > 6.0
    assert apart.max() < 9.0


def test_a_tiny_mark_gets_a_circle():
    (line,) = lines_round(np.array([[20.0, 20.0], [21.0, 20.0], [21.0, 21.0]]), 3.0, 10.0)
    np.testing.assert_allclose(np.hypot(*(line - [20.5, 20.5]).T), 10.0)


@pytest.mark.parametrize('outline', [[[5.0, 5.0]], [[5.0, 5.0], [60.0, 5.0]]])
def test_points_and_lines_have_a_line_too(outline):
    (line, *_) = lines_round(np.array(outline), 4.0, 3.0)
    assert len(line) > 8
