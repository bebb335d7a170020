"""What the page of an examination shows, from record and review."""

import pytest

from grader.commands.review_store import record_at
from grader.errors import PieceNotFound, RecordUnreadable, SettingsInvalid
from grader.record import FormFacts, SeenInFacts
from grader.review.apply import new_review, with_entries
from grader.web.result_marks import mark_views
from grader.web.result_photos import notes_of, photo_views
from grader.web.result_view import review_state
from grader.web.review_acts import words_of_page
from grader.web.stored_result import stored_result
from tests.support.reviewed import add, confirm, log_of, reject, relabel, round_record
from tests.support.sample_record import sample_record, sample_set_record, width
from tests.support.shown_examination import shown_examination


def reviewed(folder, *acts):
    shown = shown_examination(folder)
    result = stored_result(shown.piece, 1)
    review = new_review(result.at_hand.record, 'record.json', result.at_hand.sha256)
    return review_state(result, with_entries(review, shown.record, log_of(shown.record, *acts)))


def test_nothing_said_is_the_programs_grade(tmp_path):
    state = reviewed(tmp_path)
    assert state.grade == state.found_grade
    assert not state.is_reviewed
    assert state.undo_words == ""
    assert state.changes == ("Nothing is reviewed yet; the grade is that of the record.",)


def test_marks_move_between_the_groups_of_the_list(tmp_path):
    state = reviewed(tmp_path, confirm(5), reject(1), relabel(2, 'bubble'), add('chip', 0.4, 2.0))
    groups = {mark.number: mark.group for mark in state.marks}
    assert groups == {1: 'rejected', 2: 'found', 3: 'found', 4: 'found', 5: 'found', 6: 'found'}
    assert state.marks[0].cost == "costs nothing"
    assert state.marks[1].sure == "confirmed by AB"
    assert state.marks[1].found == "The program took it for a chip (80 %)."
    assert state.marks[5].found == "The program did not find it."
    assert state.undo_words == "mark 6 added, a chip"
    assert state.found_grade != state.grade


def test_doubtful_marks_and_unsure_dust_are_apart():
    record = round_record()
    low = [one.model_copy(update={'confidence': 0.1}) for one in record.marks]
    review = new_review(record.model_copy(update={'marks': tuple(low)}), 'record.json', '0' * 64)
    assert {one.group for one in mark_views(record, review.result.marks)} == {'doubtful'}


def test_the_range_of_the_score_is_rounded_outwards(tmp_path):
    state = reviewed(tmp_path)
    low, high = (int(part) for part in state.grade.score_range.removeprefix("between ").split(" and "))
    grade = shown_grade(tmp_path)
    assert low <= grade.interval[0]
    assert grade.interval[1] <= high


def shown_grade(folder):
    return record_at(next(folder.rglob('record.json'))).record.grade


def test_a_set_tells_where_each_photo_shows_a_mark():
    record = sample_set_record()
    names = [photo.name for photo in record.photos]
    outline = ((1.0, 2.0), (3.0, 4.0), (5.0, 2.0))
    seen = (SeenInFacts(photo=names[1], outline_px=outline),)
    mark = record.marks[0].model_copy(update={'seen_in': seen, 'photo': names[1]})
    record = record.model_copy(update={'marks': (mark,)})
    view = mark_views(record, new_review(record, 'record.json', '0' * 64).result.marks)[0]
    assert [(place.photo, place.outline) for place in view.places] == [(1, outline)]
    assert view.best_photo == 1
    assert view.photos == f"seen in 1 of {len(names)} photos"


def test_what_could_not_be_seen_is_never_clean():
    for record in (sample_record(), sample_set_record()):
        words = ' '.join(notes_of(record).unseen)
        assert "Damage may hide" in words
        assert "clean" not in words


def test_a_size_is_told_once_under_its_plainest_name():
    record = sample_record()
    sizes = record.measurements
    form = FormFacts(
        kind='round', words="round", sizes={'diameter': sizes.diameter_max_mm, 'table facet': width(31.0, 0.9)}
    )
    notes = notes_of(record.model_copy(update={'measurements': sizes.model_copy(update={'form': form})}))
    names = [one.name for one in notes.sizes]
    assert "Largest width" in names
    assert "Diameter" not in names
    assert names[-1] == "Table facet"


def test_without_a_card_sizes_are_told_in_pixels():
    record = sample_record()
    sizes = record.measurements.model_copy(update={'diameter_max_mm': None, 'diameter_min_mm': None})
    notes = notes_of(record.model_copy(update={'measurements': sizes}))
    assert notes.sizes == ()
    assert "no millimetres can be told" in notes.size_words


def test_unseen_parts_have_letters_and_polygons():
    unseen = photo_views(sample_record())[0].unseen
    assert [one.letter for one in unseen] == ['A', 'B'][: len(unseen)]
    assert all(len(polygon) >= 3 for one in unseen for polygon in one.polygons)


def test_an_examination_that_is_not_there_is_told(tmp_path):
    shown = shown_examination(tmp_path)
    with pytest.raises(PieceNotFound, match="no examination 7"):
        stored_result(shown.piece, 7)
    (shown.folder / 'record.json').unlink()
    with pytest.raises(RecordUnreadable, match=r"no record\.json"):
        stored_result(shown.piece, 1)


def test_words_of_the_command_line_are_not_told():
    err = SettingsInvalid("--width-mm: the photo has no millimetres.", "Give the outline with --polygon.")
    problem, remedy = words_of_page(err)
    assert problem == "Width: the photo has no millimetres."
    assert '--' not in remedy
    plain = SettingsInvalid("Entry 3 cannot be undone.", "Undo entry 5 first.")
    assert words_of_page(plain) == ("Entry 3 cannot be undone.", "Undo entry 5 first.")
