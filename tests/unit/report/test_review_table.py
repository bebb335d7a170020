"""The review on the screen."""

from grader.report.review_table import act_words, format_review
from grader.review.acts import Undo
from grader.review.apply import new_review, with_entries
from tests.support.reviewed import add, confirm, log_of, redraw, reject, relabel, round_record

RECORD = round_record()
BLANK = new_review(RECORD, 'record.json', 'ab' * 32)


def told(*acts):
    review = with_entries(BLANK, RECORD, log_of(RECORD, *acts))
    return format_review(review, review.result)


def test_before_anything_is_said_all_marks_are_listed():
    text = told()
    assert text.startswith("Review of record.json\n---------------------\nNothing is reviewed yet.\n")
    assert "5    chip" in text
    assert "chip (30 %)" in text


def test_both_grades_marks_changes_and_log():
    lines = told(confirm(1), reject(3), add('chip', 0.4, 3.0), Undo()).splitlines()
    assert lines[2].startswith("As reviewed   ")
    assert (
        lines[3]
        == f"As found      {RECORD.grade.headline}; score {RECORD.grade.score:.1f} of 100, between "
        + lines[3].split("between ")[1]
    )
    assert any(line.startswith("1    scratch") and line.endswith("confirmed by AB") for line in lines)
    assert any(line.startswith("3    bubble") and line.endswith("rejected by AB") for line in lines)
    assert not any(line.startswith("6    ") for line in lines)
    assert "What the review changed:" in lines
    assert any(line.startswith("3      mark 6 added, a chip (undone)") for line in lines)
    assert not any("computer's clock" in line for line in lines)


def test_where_the_grades_are_the_same_one_is_told():
    acts = confirm(1), Undo()
    assert f"Condition     {RECORD.grade.headline}; score {RECORD.grade.score:.1f} of 100" in told(*acts)
    assert "; the same as found" in told(*acts)


def test_words_of_acts():
    acts = [confirm(1), reject(1), relabel(1, 'chip'), redraw(1, 0.3, 3.0), add('chip', 0.3, 3.0), Undo(entry=2)]
    assert [act_words(act, 1) for act in acts] == [
        "mark 1 confirmed", "mark 1 rejected", "mark 1 is a chip", "mark 1 drawn anew", "mark 1 added, a chip",
        "entry 2 undone",
    ]  # fmt: skip
