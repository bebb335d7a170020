"""Which markers are the card's, and which are seen in the glass."""

import numpy as np

from calib.card import load_card
from calib.consensus import agreeing_markers
from calib.markers import MarkerCorners
from tests.support.card_scene import CardScene

SCENE = CardScene(load_card('frame'), tilt_deg=10, k1=-0.05)


def seen(ids, moved=None):
    """Markers where the scene puts them; `moved` maps positions in `ids` to a shift in px."""
    printed = np.stack([SCENE.spec.marker_corners_mm(one) for one in ids])
    corners = SCENE.project_mm(printed.reshape(-1, 3)).reshape(-1, 4, 2)
    for row, shift in (moved or {}).items():
        corners[row] += shift
    return MarkerCorners(np.array(ids), corners, np.full((len(ids), 4), 0.03), SCENE.size_px)


def test_all_agree():
    card = agreeing_markers(seen(list(range(24))), SCENE.spec)
    assert list(card.markers.ids) == list(range(24))
    assert card.n_elsewhere == 0


def test_markers_in_the_glass_are_left_out():
    ids = [0, 1, 3, 5, 8, 10, 13, 16, 19, 22]
    card = agreeing_markers(seen(ids, {2: (60, 40), 7: (-50, 200), 9: (200, 0)}), SCENE.spec)
    assert list(card.markers.ids) == [0, 1, 5, 8, 10, 13, 19]
    assert card.n_elsewhere == 3


def test_of_two_with_one_id_the_one_in_its_place_is_kept():
    ids = [0, 3, 3, 8, 10, 13]
    card = agreeing_markers(seen(ids, {1: (150, 150)}), SCENE.spec)
    assert list(card.markers.ids) == [0, 3, 8, 10, 13]
    np.testing.assert_array_equal(card.markers.corners_px[1], seen([3]).corners_px[0])


def test_a_shrunk_image_of_half_the_card_does_not_win():
    true, in_glass = seen(list(range(14))), seen(list(range(10, 22)))
    small = in_glass.corners_px * 0.2 + [300, 320]
    found = MarkerCorners(
        np.concatenate([true.ids, in_glass.ids]),
        np.concatenate([true.corners_px, small]),
        np.full((26, 4), 0.03),
        SCENE.size_px,
    )
    card = agreeing_markers(found, SCENE.spec)
    assert list(card.markers.ids) == list(range(14))


def test_other_cards_markers_are_nobodys():
    card = agreeing_markers(seen(list(range(24))), load_card('pocket'))
    assert len(card.markers) == 0
    assert card.n_elsewhere == 0


def test_one_marker_proves_nothing():
    card = agreeing_markers(seen([4]), SCENE.spec)
    assert len(card.markers) == 0
    assert card.n_elsewhere == 1


def test_a_sprawl_of_false_markers_is_refused():
    rng = np.random.default_rng(2)
    ids = list(range(24)) * 2
    found = seen(ids, {row: rng.uniform(-300, 300, 2) for row in range(48)})
    assert len(agreeing_markers(found, SCENE.spec).markers) < SCENE.spec.markers_needed
