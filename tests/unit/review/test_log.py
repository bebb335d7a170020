"""The log: what counts, how entries are undone, and which acts do not fit."""

import pytest

from grader.errors import RecordUnreadable, SettingsInvalid
from grader.review.acts import Undo
from grader.review.log import acts_of_marks, check_log, living, mark_numbers
from tests.support.reviewed import add, confirm, log_of, reject, relabel, round_record

RECORD = round_record()


def alive(*acts):
    return [entry.number for entry in acts_of_marks(log_of(RECORD, *acts))]


def test_entries_are_counted_and_none_is_taken_out():
    entries = log_of(RECORD, confirm(1), reject(2), Undo())
    assert [entry.number for entry in entries] == [1, 2, 3]
    assert entries[2].act == Undo(entry=2)
    assert [entry.number for entry in living(entries)] == [1, 3]


def test_undo_takes_the_last_act_that_counts():
    assert alive(confirm(1), reject(2), Undo()) == [1]
    assert alive(confirm(1), reject(2), Undo(), Undo()) == []
    assert alive(confirm(1), reject(2), Undo(entry=1)) == [2]


def test_an_undo_can_be_undone():
    assert alive(confirm(1), Undo(), Undo(entry=2)) == [1]
    assert alive(confirm(1), Undo(), Undo(entry=2), Undo(entry=3)) == []


def test_added_marks_go_on_counting_and_numbers_are_never_given_again():
    entries = log_of(RECORD, add('chip', 0.2, 3.0), Undo(), add('chip', 0.2, 5.0), confirm(7))
    assert [entry.mark for entry in entries] == [6, None, 7, 7]
    assert mark_numbers(5, entries) == (1, 2, 3, 4, 5, 7)


@pytest.mark.parametrize(
    ('acts', 'words'),
    [
        ((confirm(9),), "There is no mark 9: there are only the marks 1, 2, 3, 4, 5"),
        ((relabel(6, 'chip'),), "There is no mark 6"),
        ((add('chip', 0.2, 3.0), Undo(), confirm(6)), "There is no mark 6"),
        ((Undo(),), "There is nothing to undo"),
        ((confirm(1), Undo(entry=4)), "Entry 4 cannot be undone: the review has 1 entries"),
        ((confirm(1), Undo(), Undo(entry=1)), "Entry 1 cannot be undone: it is undone already"),
        ((add('chip', 0.2, 3.0), relabel(6, 'bruise'), Undo(entry=1)), "it added mark 6, of which entry 2 speaks"),
    ],
    ids=['no mark', 'not added', 'added and undone', 'nothing', 'no entry', 'twice', 'leaned on'],
)
def test_acts_that_do_not_fit(acts, words):
    with pytest.raises(SettingsInvalid, match=words):
        log_of(RECORD, *acts)


def test_a_record_without_marks_has_no_mark_to_confirm():
    with pytest.raises(SettingsInvalid, match="no mark was found, and none is added"):
        log_of(round_record(marks=()), confirm(1))


@pytest.mark.parametrize(
    'change',
    [{'mark': 2}, {'number': 7}, {'act': confirm(8), 'mark': 8}, {'act': Undo(entry=3), 'mark': None}],
    ids=['other mark', 'number', 'no such mark', 'later entry'],
)
def test_a_log_that_this_program_cannot_have_kept(change):
    entries = log_of(RECORD, confirm(1), reject(3))
    check_log(entries, 5, 'review.json')
    with pytest.raises(RecordUnreadable, match=r"review\.json: entry . of the review does not fit"):
        check_log((entries[0].model_copy(update=change), entries[1]), 5, 'review.json')
