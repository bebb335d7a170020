"""Marks of several photos: the turn they tell, which are one, how sure, dust, and how deep."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from grader.marks.mark import MarkKind
from grader.sets.constants import TURN_STEPS
from grader.sets.find_turns import PhotoTurn
from grader.sets.join import join_marks, meeting_of
from grader.sets.judge_track import BY_ABSENCE, BY_WIPING, judge_track
from grader.sets.layer import parallax_of
from grader.sets.pair_turn import weigh_turns
from grader.sets.refine_turns import refine_turns
from grader.sets.sightings import see_marks
from tests.support.set_scene import (
    ABOVE,
    ABOVE_TOO,
    OTHER_SIDE,
    SIDE,
    marks_at,
    pixel_of_inner,
    pixel_of_place,
    place,
    set_photo,
    turned_z,
)

CHIPS = (place(60, 10), place(45, 130), place(70, 250))
INNER = np.array([0.25, -0.2, 0.1])


def known(turn_deg, u_deg=0.2, probability=1.0):
    return PhotoTurn(np.radians(turn_deg), np.radians(u_deg), probability, "known")


def chips_from(name, eye, turn_deg, places=CHIPS, light=0.0, **how):
    pixels = [pixel_of_place(eye, turned_z(one, turn_deg)) for one in places]
    return set_photo(name, eye, marks_at(pixels, ['chip'] * len(pixels), **how), light)


def members(tracks, photos):
    return {frozenset((photos[one.photo].name, one.number) for one in track.sightings) for track in tracks}


@pytest.mark.parametrize('turn_deg', [0.0, 70.0, 205.5])
def test_marks_alone_tell_the_turn(turn_deg):
    evidence = weigh_turns(chips_from('a', ABOVE, 0), chips_from('b', ABOVE_TOO, turn_deg), None, None)
    step = int(evidence.total.argmax())
    assert abs((step * 360 / TURN_STEPS - turn_deg + 180) % 360 - 180) <= 2.0  # marks count within a mm of their place
    assert int(evidence.reversed().total.argmax()) == pytest.approx((-step) % TURN_STEPS, abs=4)


def test_marks_at_one_place_are_one_whatever_the_turn_and_the_order_of_photos():
    photos = (
        chips_from('a', ABOVE, 0), chips_from('b', ABOVE_TOO, 70), chips_from('c', ABOVE, 200, CHIPS[:2]),
    )  # fmt: skip
    turns = (known(0), known(70), known(200))
    expected = {frozenset({('a', 1), ('b', 1), ('c', 1)}), frozenset({('a', 2), ('b', 2), ('c', 2)}),
                frozenset({('a', 3), ('b', 3)})}  # fmt: skip
    for order in itertools.permutations(range(3)):
        some, how = [photos[k] for k in order], [turns[k] for k in order]
        assert members(join_marks(see_marks(some, how), some, how), some) == expected


def test_turning_the_piece_changes_no_joint_place():
    found = []
    for turn_deg in (0.0, 70.0, 143.0):
        photos, turns = (chips_from('a', ABOVE, 0), chips_from('b', ABOVE_TOO, turn_deg)), (known(0), known(turn_deg))
        tracks = join_marks(see_marks(photos, turns), photos, turns)
        found.append([track.sightings[-1].place for track in tracks])
    np.testing.assert_allclose(found[1], found[0], atol=1e-6)
    np.testing.assert_allclose(found[2], found[0], atol=1e-6)


def test_a_photo_of_unknown_turn_keeps_its_marks():
    photos, turns = (chips_from('a', ABOVE, 0), chips_from('b', ABOVE_TOO, 0)), (known(0), known(0, probability=0.5))
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    assert sorted(len(track.sightings) for track in tracks) == [1] * 6


def test_marks_refine_a_rough_turn():
    photos, rough = (chips_from('a', ABOVE, 0), chips_from('b', ABOVE_TOO, 70)), (known(0), known(71, u_deg=1.0))
    finer = refine_turns(join_marks(see_marks(photos, rough), photos, rough), photos, rough)
    assert abs(np.degrees(finer[1].turn_rad) - 70) < 0.3 < 1.0
    assert finer[1].u_turn_rad < rough[1].u_turn_rad


def test_rays_to_a_point_inside_meet_there():
    eyes = (ABOVE, SIDE, OTHER_SIDE)
    photos = [set_photo(f'{k}', eye, marks_at([pixel_of_inner(eye, INNER)], ['bubble'])) for k, eye in enumerate(eyes)]
    turns = [known(0)] * 3
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    assert [len(track.sightings) for track in tracks] == [3]
    # Fermat's path is found to 1e-8 mm; what is left is the search's tolerance in angles.
    np.testing.assert_allclose(meeting_of(tracks[0].sightings), INNER, atol=1e-4)
    assert parallax_of(tracks[0].sightings, photos, turns).log_ratio < -3
    judged = judge_track(tracks[0], photos, turns, frozenset())
    assert judged.layer.layer == 'inside'
    assert judged.mark.kind == 'bubble'


def test_parallax_overrules_the_look_of_a_mark():
    on_glass = place(50, -40)
    photos = [
        set_photo(f'{k}', eye, marks_at([pixel_of_place(eye, on_glass)], ['bubble']))
        for k, eye in enumerate((ABOVE, SIDE))
    ]
    turns = [known(0)] * 2
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    assert [len(track.sightings) for track in tracks] == [2]
    assert parallax_of(tracks[0].sightings, photos, turns).log_ratio > 2
    assert judge_track(tracks[0], photos, turns, frozenset()).layer.surface_odds > 0.3


def test_a_turned_inner_point_is_still_one():
    photos = [
        set_photo('a', ABOVE, marks_at([pixel_of_inner(ABOVE, INNER)], ['bubble'])),
        set_photo('b', SIDE, marks_at([pixel_of_inner(SIDE, turned_z(INNER, 50))], ['bubble'])),
    ]
    turns = [known(0), known(50)]
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    assert len(tracks) == 1
    np.testing.assert_allclose(meeting_of(tracks[0].sightings), INNER, atol=1e-4)


def judged_alone(photos, turns, wiped=frozenset()):
    first = join_marks(see_marks(photos, turns), photos, turns)[0]
    return judge_track(first, photos, turns, wiped)


def test_seen_twice_is_surer_and_missing_elsewhere_less_sure():
    one = chips_from('a', ABOVE, 0, CHIPS[:1], confidence=0.5)
    again, empty = chips_from('b', ABOVE_TOO, 90, CHIPS[:1], confidence=0.5), chips_from('b', ABOVE_TOO, 90, ())
    turns = [known(0), known(90)]
    twice, missed = judged_alone([one, again], turns), judged_alone([one, empty], turns)
    assert missed.mark.confidence < 0.3 < 0.7 < twice.mark.confidence
    assert [seen.photo for seen in twice.seen_in] == [0, 1]
    assert missed.missing_in == (1,)


def test_what_vanished_by_wiping_was_dust():
    dusty = chips_from('a', ABOVE, 0, CHIPS[:1])
    odds = ((MarkKind.CHIP, 0.6), (MarkKind.DUST, 0.4))
    dusty.findings.marks = (replace(dusty.findings.marks[0], kind_odds=odds),)
    wiped, turns = chips_from('b', ABOVE_TOO, 90, ()), [known(0), known(90)]
    told, untold = judged_alone([dusty, wiped], turns, frozenset({1})), judged_alone([dusty, wiped], turns)
    assert told.mark.kind == 'dust' and told.dust_basis == BY_WIPING
    assert untold.dust_basis == BY_ABSENCE
    assert told.dust_odds > untold.dust_odds > 0.4
    still = judged_alone([dusty, chips_from('b', ABOVE_TOO, 90, CHIPS[:1])], turns, frozenset({1}))
    assert still.mark.kind == 'chip' and still.dust_odds < 0.1
