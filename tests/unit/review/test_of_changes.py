"""Her word beside what a comparison says: found by place, on the right side, and never left out."""

import pytest

from grader.review.acts import Confirm, Reject, Relabel
from grader.review.apply import apply_entries
from grader.review.of_changes import SideReview, beside, contradictions, words_on_changes
from tests.support.reviewed import add, log_of, round_record, square_px
from tests.support.sample_comparison import change, sample_comparison

RECORD = round_record()


def seen(side, outline, photo='a.jpg'):
    return ({'side': side, 'photo': photo, 'outline_px': outline},)


def comparison(side='after', mark=0, **changes):
    outline = RECORD.marks[mark].outline_px
    told = change(outline_px=outline, side=side, seen_in=seen(side, outline), **changes)
    return sample_comparison(RECORD, RECORD, changes=(told,))


def words(told, *acts, side='after'):
    return words_on_changes(told, [SideReview(side, RECORD, apply_entries(RECORD, log_of(RECORD, *acts)))])


def test_a_rejected_mark_is_told_at_the_change_that_lies_there():
    told = comparison()
    (one,) = words(told, Reject(mark=1))
    assert (one.change, one.status) == (1, 'rejected')
    assert one.words.startswith("AB rejected mark 1 of the later examination, which lies here: there is no such mark (")
    assert contradictions(told, [one]) == (1,)
    assert beside([one]) == {1: (one.words,)}


def test_a_confirmed_one_and_another_name_are_told():
    (one,) = words(comparison(), Confirm(mark=1))
    assert "confirmed mark 1 of the later examination, which lies here, as a scratch (" in one.words
    assert contradictions(comparison(), [one]) == ()
    (one,) = words(comparison(mark=1), Relabel(mark=2, kind='bubble'))
    assert "as a bubble and no chip" in one.words


@pytest.mark.parametrize(
    ('told', 'side'), [(comparison(mark=2), 'after'), (comparison('before'), 'after'), (comparison(), 'before')]
)
def test_a_word_on_another_mark_or_another_side_is_not_put_here(told, side):
    assert words(told, Reject(mark=1), side=side) == ()


def test_marks_that_only_touch_are_two():
    x, y = RECORD.marks[0].centre_px
    beside_it = tuple((px + 14, py) for px, py in square_px(0.5, 4.0))
    told = sample_comparison(RECORD, RECORD, changes=(change(outline_px=beside_it, seen_in=seen('after', beside_it)),))
    assert abs(beside_it[0][0] - x) < 14 and y > 0
    assert words(told, Reject(mark=1)) == ()


def test_what_was_not_reviewed_has_no_words():
    assert words(comparison(), Reject(mark=3)) == ()


def test_an_added_mark_is_told_even_where_the_comparison_knows_nothing_of_it():
    (one,) = words(comparison(), add('scratch', 0.7, 2.0))
    assert (one.change, one.status) == (0, 'added')
    assert "added mark 6 of the later examination, a scratch" in one.words
    assert "of which the comparison knows nothing" in one.words
    (here,) = words(comparison(), add('chip', 0.5, 4.0))
    assert here.change == 1 and "which lies here" in here.words
