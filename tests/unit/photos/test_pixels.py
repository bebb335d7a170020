"""The eight Exif orientations."""

import numpy as np
import pytest

from grader.photos.pixels import turn_upright


# Stored pixels 123/456 and the upright picture, Exif 2.32 tag 0x0112 (table recomputed with Pillow's exif_transpose).
@pytest.mark.parametrize(
    ('orientation', 'upright'),
    [
        (1, '123/456'),
        (2, '321/654'),
        (3, '654/321'),
        (4, '456/123'),
        (5, '14/25/36'),
        (6, '41/52/63'),
        (7, '63/52/41'),
        (8, '36/25/14'),
    ],
)
def test_orientation(orientation, upright):
    stored = np.array([[1, 2, 3], [4, 5, 6]], dtype=np.uint8)[..., None].repeat(3, axis=2)
    turned = turn_upright(stored, orientation)
    assert '/'.join(''.join(str(v) for v in row) for row in turned[..., 0]) == upright
    assert turned.flags.c_contiguous
    assert not np.shares_memory(turned, stored)
