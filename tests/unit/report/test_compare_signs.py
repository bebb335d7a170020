"""Signs of changes are told apart without colour."""

from itertools import combinations
from typing import get_args

import cv2
import numpy as np
import pytest

from grader.compare.change import ChangeName
from grader.report.canvas import Canvas
from grader.report.compare_constants import CHANGE_COLOURS
from grader.report.compare_signs import draw_sign, sign_outline

CHANGES = get_args(ChangeName)


def silhouette(change):
    mask = np.zeros((100, 100), dtype=np.uint8)
    cv2.fillPoly(mask, [np.rint(50 + 25 * sign_outline(change)).astype(np.int32).reshape(-1, 1, 2)], 1)
    return mask > 0


def test_each_change_has_colour_and_shape():
    assert set(CHANGE_COLOURS) == set(CHANGES)
    areas = [silhouette(change).sum() for change in CHANGES]
    assert min(areas) > 0.5 * max(areas)


@pytest.mark.parametrize(('one', 'other'), list(combinations(CHANGES, 2)))
def test_shapes_differ(one, other):
    a, b = silhouette(one), silhouette(other)
    assert (a ^ b).sum() > 0.09 * (a | b).sum()


@pytest.mark.parametrize('change', CHANGES)
@pytest.mark.parametrize('is_possible', [False, True])
def test_signs_are_drawn_round_their_number(change, is_possible):
    canvas = Canvas(np.full((120, 120, 3), 128, dtype=np.uint8))
    text = draw_sign(canvas, (60.0, 60.0), change, '7', 1.0, is_possible=is_possible)
    changed = (canvas.rgb != 128).any(axis=2)
    assert changed[60, 60]
    assert not changed[5].any()
    assert text.words == '7'
    assert abs(text.at[0] - 60) < 1 and abs(text.at[1] - 60) < 12
