"""One piece is told from another of its make, and how it was turned."""

import numpy as np
import pytest

from grader.compare.same_piece import count_equal_turns, judge_same_piece
from grader.compare.sides import Sides
from grader.sets.constants import TURN_STEPS
from tests.support.design_scene import design_photo, picture, plain, spots

TURN_DEG = 73.0


def side(design, turn_deg=0.0, **light):
    return (design_photo('photo', picture(design, np.radians(turn_deg), **light), light.pop('width_mm', None)),)


@pytest.fixture(scope='module')
def same():
    before = side(spots(5), TURN_DEG, gains=(0.6, 0.55, 0.5), seed=1)
    return judge_same_piece(Sides(before, side(spots(5), seed=2)))


@pytest.fixture(scope='module')
def stranger():
    return judge_same_piece(Sides(side(spots(6), TURN_DEG), side(spots(5))))


def test_one_piece_turned_and_in_less_light_is_the_same(same):
    assert same.verdict == 'same piece'
    assert same.design == 'rich'
    assert same.grounds[0].name == 'design' and same.grounds[0].log_odds > 1


def test_a_pattern_that_does_not_repeat_agrees_at_one_turn_only(same):
    assert "at one turn only" in next(ground.words for ground in same.grounds if ground.name == 'design')


@pytest.mark.parametrize('folds', [1, 2, 6])
def test_equal_turns_are_counted(folds):
    steps = np.arange(TURN_STEPS)
    assert count_equal_turns(-20 * (1 - np.cos(folds * 2 * np.pi * steps / TURN_STEPS))) == folds


def test_its_turn_is_exact(same):
    turn = same.alignment.before[0]
    assert np.degrees(turn.turn_rad) == pytest.approx(TURN_DEG, abs=0.1)
    assert np.degrees(turn.u_turn_rad) < 0.3
    assert turn.probability > 0.99
    assert same.alignment.after[0].turn_rad == 0.0


def test_its_details_lie_at_the_same_places_of_the_piece(same):
    assert len(same.matches) >= 5
    turn = np.radians(TURN_DEG)
    middle = (520 - 1) / 2
    for match in same.matches:
        x, y = match.after_px - middle
        # y points down in px, so the piece turns the other way round
        where = middle + np.array([x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)])
        np.testing.assert_allclose(match.before_px, where, atol=1.5)  # a chart's step is 2 px wide
    assert [match.likeness for match in same.matches] == sorted((m.likeness for m in same.matches), reverse=True)


def test_another_piece_of_its_make_is_not_the_same(stranger):
    assert stranger.verdict == 'another piece'
    assert "differs" in stranger.grounds[0].words


def test_without_design_it_cannot_be_told():
    judged = judge_same_piece(Sides(side(plain()), side(plain(), seed=4)))
    assert judged.design == 'none'
    assert judged.verdict == 'cannot tell'
    assert any("hardly any design" in ground.words for ground in judged.grounds)


def test_widths_that_differ_speak_against_a_plain_piece():
    def photo(width_mm):
        return (design_photo('photo', picture(plain()), width_mm),)

    alike = judge_same_piece(Sides(photo(70.0), photo(70.1)))
    apart = judge_same_piece(Sides(photo(70.0), photo(74.0)))
    assert apart.probability < 0.15 < alike.probability < 0.9
    assert any("differ by more" in ground.words for ground in apart.grounds)


def test_the_same_photos_give_the_same_judgement():
    sides = Sides(side(spots(7), 20.0), side(spots(7)))
    first, second = judge_same_piece(sides), judge_same_piece(sides)
    assert first.probability == second.probability
    assert first.alignment.before == second.alignment.before
