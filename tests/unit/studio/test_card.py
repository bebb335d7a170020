"""The studio's cards as a marker reader sees them."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from fixtures.studio import card


def read_markers(reflectance: np.ndarray) -> dict[int, np.ndarray]:
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_100))
    corners, ids, _ = detector.detectMarkers(np.pad((255 * reflectance).astype(np.uint8), 40, constant_values=217))
    return {int(i): c[0].mean(0) - 40 for i, c in zip(ids.ravel(), corners, strict=True)}


@pytest.mark.parametrize(
    ('name', 'picture', 'scale'),
    [('frame', card.frame_card('grey', 10), 10), ('pocket', card.pocket_card(20), 20)],
    ids=['frame', 'pocket'],
)
def test_drawn_card_has_every_marker_where_the_printed_card_has_it(name, picture, scale):
    found = read_markers(picture)
    spec = load_card(name)
    rows, cols = picture.shape
    assert sorted(found) == sorted(marker.id for marker in spec.markers)
    for marker in spec.markers:
        x_mm, y_mm = marker.centre_mm
        # The reader's corners lie on whole pixels here: half a pixel each way.
        assert found[marker.id] == pytest.approx(
            [cols / 2 + scale * x_mm - 0.5, rows / 2 - scale * y_mm - 0.5], abs=1.0
        )
