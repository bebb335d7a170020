"""The side-by-side picture: its parts are where they should be."""

import numpy as np
import pytest

from grader.report.compare_details import chosen_details, detail_pairs
from grader.report.compare_legend import change_rows
from grader.report.compare_picture import draw_comparison
from grader.report.compare_places import drawn_facts, places_in, shown_pair
from grader.report.compare_wording import ground_words, headline_of
from tests.support.compared_sides import (
    change_at,
    compared_of,
    match_at,
    set_photo_of,
    side_of,
    usual_compared,
    without_card,
)


@pytest.fixture(scope='module')
def usual():
    return usual_compared()


def test_the_same_comparison_is_the_same_picture(usual):
    first = draw_comparison(usual)
    assert first.dtype == np.uint8
    assert (first == draw_comparison(usual)).all()


def test_changes_are_drawn_on_both_photos(usual):
    before, after = places_in(usual, 'before', 0), places_in(usual, 'after', 0)
    assert [(one.number, one.is_seen) for one in after] == [(1, True), (2, True), (3, False), (4, True), (5, True)]
    assert [(one.number, one.is_seen) for one in before] == [(1, False), (2, False), (3, True), (4, True), (5, False)]
    assert [one.is_possible for one in after] == [False] * 4 + [True]


def test_the_place_of_a_mark_that_is_not_there_is_that_of_the_look(usual):
    look = usual.changes[0].other_look
    place = places_in(usual, 'before', 0)[0]
    assert place.outline_px.mean(axis=0) == pytest.approx(look.centre_px)


def test_marks_that_are_unlikely_are_not_drawn():
    compared = compared_of((change_at(confidence=0.2), change_at('gone', 'dust', 0.4, side='before')))
    assert drawn_facts(compared) == ()
    assert change_rows(compared)[0].title == "Changes"


def test_a_change_alters_the_picture_at_its_place(usual):
    without = draw_comparison(compared_of(usual.changes[1:], matches=usual.judgement.matches))
    assert without.shape[1] == draw_comparison(usual).shape[1]
    assert (without[300:700] != draw_comparison(usual)[300:700]).any()


def test_details_that_agree_come_first_and_for_two_pieces_those_that_do_not():
    matches = tuple(
        match_at(0.05 * k, 0.0, likeness) for k, likeness in enumerate((0.9, 0.8, 0.7, 0.6, 0.1, 0.2, 0.3, 0.0))
    )
    same = compared_of(matches=matches)
    assert [one.likeness for one in chosen_details(same, (0, 0))] == [0.9, 0.8, 0.7, 0.6, 0.0, 0.1]
    apart = compared_of(verdict='another piece', matches=matches)
    assert [one.likeness for one in chosen_details(apart, (0, 0))] == [0.9, 0.8, 0.0, 0.1, 0.2, 0.3]
    pictures = detail_pairs(same, (0, 0), 60)
    assert [one.letter for one in pictures] == list('ABCDEF')
    assert pictures[0].before.shape == pictures[0].after.shape == (60, 60, 3)


def test_two_photos_of_one_kind_of_view_are_shown(usual):
    assert shown_pair(usual) == (0, 0)


@pytest.mark.parametrize(
    ('verdict', 'words'),
    [
        ('same piece', "The same piece; 1 new mark of damage"),
        ('cannot tell', "Cannot tell whether it is the same piece; if it is, 1 new mark of damage"),
        ('another piece', "Two different pieces"),
    ],
)
def test_headlines(verdict, words):
    changes = () if verdict == 'another piece' else (change_at(),)
    assert headline_of(compared_of(changes, verdict).comparison) == words


def test_the_headline_tells_what_is_probable_only():
    comparison = compared_of((change_at(), change_at(verdict='open', right=-0.2))).comparison
    assert headline_of(comparison) == "The same piece; 1 new mark of damage and 1 probably new mark of damage"
    assert {one.change_words for one in comparison.changes} == {"new", "probably new"}


@pytest.mark.parametrize(
    ('log_odds', 'words'), [(3.0, "speaks for one piece"), (-3.0, "speaks against one piece"), (-0.2, "weighs little")]
)
def test_which_way_a_finding_speaks(log_odds, words):
    assert ground_words(log_odds) == words


def test_no_scale_no_bar_but_a_picture():
    bare = [side_of(k, without_card(set_photo_of(k))) for k in (0, 1)]
    compared = compared_of(before=bare[0], after=bare[1])
    assert compared.scales == {'before': (None,), 'after': (None,)}
    assert draw_comparison(compared).shape[2] == 3
