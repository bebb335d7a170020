"""The cards' geometry."""

import numpy as np
import pytest
from pydantic import ValidationError

from calib.card import CARD_NAMES, CardSpec, load_card


def test_the_frame_card_has_24_markers_round_a_clear_field():
    card = load_card('frame')
    assert len(card.markers) == 24
    assert card.outer_size_mm == (190, 190)
    corners = np.concatenate([card.marker_corners_mm(one) for one in card.marker_ids])
    assert np.all(np.max(np.abs(corners), axis=1) > card.clear_field_mm[0] / 2)
    assert np.max(np.abs(corners)) < 95


@pytest.mark.parametrize('name', CARD_NAMES)
def test_nothing_printed_overlaps(name):
    card = load_card(name)
    squares = [(m.centre_mm, card.marker_size_mm) for m in card.markers]
    squares += [(p.centre_mm, p.size_mm) for p in card.grey_patches]
    for k, (a, side_a) in enumerate(squares):
        for b, side_b in squares[:k]:
            assert max(abs(a[0] - b[0]), abs(a[1] - b[1])) >= (side_a + side_b) / 2


def test_corners_run_clockwise_from_the_top_left_as_printed():
    corners = load_card('frame').marker_corners_mm(0)
    np.testing.assert_array_equal(corners, [[-94, 94, 0], [-74, 94, 0], [-74, 74, 0], [-94, 74, 0]])


def test_marker_0_is_top_left_and_6_top_right():
    card = load_card('frame')
    np.testing.assert_array_equal(card.marker_centre_mm(0), [-84, 84, 0])
    np.testing.assert_array_equal(card.marker_centre_mm(6), [84, 84, 0])
    np.testing.assert_array_equal(card.outline_mm()[2], [95, -95, 0])


def test_the_two_cards_share_no_marker():
    frame, pocket = (set(load_card(name).marker_ids) for name in CARD_NAMES)
    assert not frame & pocket


def test_unknown_names_are_bugs():
    with pytest.raises(ValueError, match=r"name must be one of .* got 'poster'"):
        load_card('poster')
    with pytest.raises(ValueError, match='marker_id must be one of'):
        load_card('frame').marker_centre_mm(77)


def test_outside_data_is_checked():
    data = load_card('pocket').model_dump()
    with pytest.raises(ValidationError, match='Extra inputs'):
        CardSpec.model_validate({**data, 'colour': 'red'})
    with pytest.raises(ValidationError, match='printed once only'):
        CardSpec.model_validate({**data, 'markers': [*data['markers'], data['markers'][0]]})
