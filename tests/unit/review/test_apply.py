"""What a log makes of a record: marks, both grades, and the words for what changed."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from grader.grade.rules import load_rules
from grader.marks.constants import BUBBLE_MAGNIFICATION
from grader.review.acts import AddMark, Drawing, Undo
from grader.review.apply import apply_entries, apply_review, new_review, with_entries
from grader.review.mark_of_facts import of_kind
from grader.review.review import REVIEW_FILE, review_schema_text
from tests.support.reviewed import MARKS, add, confirm, log_of, redraw, reject, relabel, round_record, square_px
from tests.support.sample_record import SCRATCH, sample_findings, sample_record, sample_set_record

ROOT = Path(__file__).parents[3]
SCHEMA = ROOT / 'grader' / 'schemas' / 'review_v1.schema.json'
RECORD = round_record()


def result(*acts, record=RECORD):
    return apply_entries(record, log_of(record, *acts))


def marks_of(*acts, record=RECORD):
    return {one.number: one for one in result(*acts, record=record).marks}


def test_without_acts_all_is_as_the_record_has_it():
    nothing = result()
    assert nothing.grade == nothing.found_grade == RECORD.grade
    assert not nothing.is_changed
    assert [one.mark for one in nothing.marks] == list(RECORD.marks)
    assert {one.status for one in nothing.marks} == {'not reviewed'}
    assert nothing.changes == ("Nothing is reviewed yet; the grade is that of the record.",)


def test_a_confirmed_mark_counts_as_surely_there_and_keeps_its_kind_odds():
    one = marks_of(confirm(2))[2]
    assert (one.status, one.mark.confidence, one.mark.confidence_words) == ('confirmed', 1.0, "confirmed")
    assert one.mark.kind_odds == {'chip': 0.6, 'bubble': 0.4}
    assert (one.found_kind, one.found_confidence, one.by) == ('chip', 0.8, 'AB')
    assert one.mark.cost_points > one.found_cost_points > 0.0


def test_a_rejected_mark_costs_nothing_and_the_finding_stays_beside_it():
    one = marks_of(reject(1))[1]
    assert (one.status, one.mark.confidence, one.mark.cost_points) == ('rejected', 0.0, 0.0)
    assert (one.found_confidence, one.reason) == (0.93, "looked at with a loupe")
    assert one.mark.outline_px == RECORD.marks[0].outline_px


def test_rejecting_a_mark_grades_like_a_record_without_it():
    without = round_record(marks=MARKS[1:])
    assert result(reject(1)).grade.score == pytest.approx(without.grade.score, abs=0.11)


def test_a_relabelled_mark_is_surely_of_that_kind():
    one = marks_of(relabel(2, 'bruise'))[2]
    assert (one.mark.kind, one.mark.kind_odds, one.mark.layer_basis) == (
        'bruise', {'bruise': 1.0}, ("the person who looked at it",),
    )  # fmt: skip
    assert (one.found_kind, one.status) == ('chip', 'confirmed')


def test_relabelling_to_the_kind_that_it_has_settles_it():
    before, after = marks_of(confirm(2))[2], marks_of(relabel(2, 'chip'))[2]
    assert after.mark.kind_odds == {'chip': 1.0}
    assert after.mark.cost_points > before.mark.cost_points


def test_a_bubble_is_smaller_than_it_looks_and_what_is_none_after_all_is_not():
    chip = of_kind(SCRATCH.model_copy(update={'kind': 'chip'}), 'bubble')
    assert chip.diameter_mm == pytest.approx(SCRATCH.diameter_mm / BUBBLE_MAGNIFICATION, abs=1e-3)
    assert chip.u_diameter_mm / chip.diameter_mm > SCRATCH.u_diameter_mm / SCRATCH.diameter_mm
    assert of_kind(chip, 'chip').diameter_mm == pytest.approx(SCRATCH.diameter_mm, abs=2e-3)


def test_the_last_word_counts():
    assert marks_of(reject(1), confirm(1))[1].status == 'confirmed'
    assert marks_of(confirm(1), reject(1))[1].status == 'rejected'
    assert marks_of(reject(1), redraw(1, 0.5, 4.0))[1].status == 'confirmed'
    assert marks_of(relabel(1, 'dust'), reject(1), Undo())[1].mark.kind == 'dust'


def test_a_redrawn_mark_has_the_sizes_and_the_place_of_the_drawing():
    one = marks_of(redraw(2, 0.6, 10.0))[2]
    assert np.allclose(one.mark.outline_px, square_px(0.6, 10.0), atol=0.006)
    assert one.mark.place_words == "on the shoulder near 10 o'clock"
    assert (one.mark.kind, one.mark.kind_odds) == ('chip', {'chip': 0.6, 'bubble': 0.4})
    assert one.mark.diameter_mm == pytest.approx(2.2, abs=0.3)


def test_drawing_and_naming_do_not_depend_on_their_order():
    both = redraw(2, 0.6, 10.0), relabel(2, 'bubble')
    assert marks_of(*both)[2] == marks_of(*reversed(both))[2]
    assert marks_of(*both)[2].mark.diameter_mm < marks_of(redraw(2, 0.6, 10.0))[2].mark.diameter_mm


def test_an_added_mark_is_graded():
    line = AddMark(kind='scratch', drawing=Drawing(shape='line', points_px=((450, 350), (560, 420)), width_mm=0.2))
    added = result(line)
    one = added.marks[-1]
    assert (one.number, one.status, one.found_kind, one.mark.layer) == (6, 'added', None, 'surface')
    assert "long, 0.20 mm wide" in one.mark.size_words
    assert added.grade.score < RECORD.grade.score
    assert added.found_grade == RECORD.grade


def test_in_a_set_a_drawing_tells_in_which_photo_it_is_seen():
    contour, width = RECORD.outline_px, RECORD.measurements
    record = sample_set_record().model_copy(
        update={
            'outline_px': contour,
            'measurements': width,
            'other_findings': tuple(
                sample_findings(name, outline_px=contour, measurements=width) for name in ('a.jpg', 'b.jpg')
            ),
        }
    )
    one = marks_of(redraw(1, 0.2, 3.0), record=record)[1]
    assert [seen.photo for seen in one.mark.seen_in] == ['a.jpg', 'b.jpg']
    assert one.mark.seen_in[0].outline_px == square_px(0.2, 3.0)
    assert marks_of(add('chip', 0.2, 3.0), record=record)[2].mark.photo == 'a.jpg'


def test_the_grade_uses_the_rules_of_the_record():
    assert result(reject(1)).grade.rules_version == RECORD.grade.rules_version == load_rules().version


def test_sentences_tell_the_whole_first_and_then_each_mark():
    told = result(confirm(2), reject(1), relabel(3, 'bruise'), add('dust', 0.3, 6.0)).changes
    assert told[0].startswith("The review lowers the score from ")
    assert "Mark 1 (scratch, on the shoulder near 4 o'clock) is rejected: " in ' '.join(told)
    assert any(one.startswith("Mark 2 (chip") and "is confirmed: it costs " in one for one in told)
    assert any("is a bruise and no bubble: it costs " in one for one in told)
    assert any(
        one.startswith("Mark 6, a speck of dust ") and one.endswith("is added: it costs nothing.") for one in told
    )
    assert told[-2:] == (
        "2 marks were not reviewed and count as the program found them.",
        "The review does not change that 10 % of the glass could not be seen.",
    )


def test_a_review_that_changes_nothing_says_so():
    surely = round_record(marks=(MARKS[0].model_copy(update={'confidence': 1.0, 'kind_odds': {'scratch': 1.0}}),))
    told = result(confirm(1), record=surely)
    assert not told.is_changed
    assert (
        told.changes[0]
        == f"The review leaves the score at {surely.grade.score:.1f}; the condition stays \"{surely.grade.headline}\"."
    )


def test_json_and_back_and_the_shipped_schema():
    review = with_entries(
        new_review(RECORD, 'record.json', 'ab' * 32), RECORD, log_of(RECORD, confirm(1), add('chip', 0.2, 3.0), Undo())
    )
    text = review.to_json()
    again = REVIEW_FILE.from_bytes(text.encode(), 'review.json')
    assert (again, again.to_json()) == (review, text)
    assert apply_review(RECORD, again) == again.result
    assert SCHEMA.read_text(encoding='utf-8') == review_schema_text()
    jsonschema.validate(json.loads(text), json.loads(SCHEMA.read_text(encoding='utf-8')))


def test_a_record_without_millimetres():
    plain = SCRATCH.model_dump(exclude={f'{u}{one}_mm' for u in ('', 'u_') for one in ('length', 'width', 'diameter')})
    marks = (type(SCRATCH)(**{**plain, 'area_mm2': None, 'length_ratio': 0.07, 'width_ratio': 0.003}),)
    sizes = RECORD.measurements.model_copy(update={'diameter_max_mm': None, 'diameter_min_mm': None})
    record = sample_record(marks=marks, measurements=sizes)
    one = marks_of(confirm(1), record=record)[1]
    assert one.mark.size_words == "7.1 % of the width long"
