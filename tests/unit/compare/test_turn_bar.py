"""How sure a turn has to be for places on the earlier photo to be known."""

from dataclasses import replace

import pytest

from grader.compare.find_changes import find_changes
from grader.compare.sides import Alignment
from tests.support.changed_scene import AFTER, BEFORE, TOP_PLACES, sides, take

FIRST = TOP_PLACES[:1]


@pytest.mark.parametrize(('probability', 'known'), [(0.96, True), (0.9, False)])
def test_places_are_known_only_with_a_sure_turn(probability, known):
    both, alignment = sides([take('b', BEFORE, FIRST, FIRST)], [take('a', AFTER, FIRST, FIRST)])
    less_sure = tuple(replace(turn, probability=probability) for turn in alignment.before)
    found = find_changes(both, Alignment(less_sure, alignment.after))
    later = [one for one in found if one.best.side == 'after']
    assert [one.change for one in later] == ['unchanged' if known else 'not visible then']
    assert (later[0].other_look.centre_px is not None) is known
