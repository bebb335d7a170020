"""What a shelf shows of each piece: the latest examination, with its review, as the files have it now."""

import json
import os
import shutil

import pytest

from grader.collection.history import past_examination, read_history
from grader.collection.index import index_for_reading, shelf_row_as_known
from grader.collection.index_file import INDEX_FILE, drop_index
from grader.collection.lock import locked
from grader.collection.record_light import NotLight, light_record, reviewed_grade
from grader.collection.shelf_rows import ExaminationsOf
from tests.support.collections import add, new_collection, rows
from tests.support.examined_pieces import put_examination, put_review
from tests.support.reviewed import round_record
from tests.support.sample_record import sample_record, sample_set_record

RECORD = round_record(made_at='2025-03-10T10:09:00')


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path, {'title': 'Amber swirl', 'measurements': 'some 70 mm'}, {'title': 'Blue dahlia'})


@pytest.fixture
def folder(place):
    return place.pieces / rows(place, sort='title')[0].folder


def seen(place, title='Amber swirl') -> ExaminationsOf:
    with index_for_reading(place, 'test', examined=lambda index: None) as index:
        return next(row.examinations for row in index.shelf((), 'inventory', slice(None)) if row.title == title)


def test_what_is_told_is_what_the_record_says(place, folder):
    put_examination(folder, '0001', RECORD)
    told, full = seen(place).latest, past_examination('0001', RECORD)
    assert (told.grade.score, (told.grade.low, told.grade.high)) == (full.score, full.interval)
    assert told.grade.condition == full.condition
    assert told.made_at == '2025-03-10T10:09:00'
    assert told.width_words == '71.03 mm ± 0.62 mm'
    assert (told.photo, told.photo_sha256) == ('a.jpg', '0' * 64)
    assert (told.left_px, told.right_px) == pytest.approx((500 - 355.15, 500 + 355.15), abs=0.01)
    assert (told.top_px, told.bottom_px) == pytest.approx((400 - 355.15, 400 + 355.15), abs=0.05)
    assert not told.is_reviewed


def test_a_piece_without_examinations(place):
    assert seen(place, 'Blue dahlia') == ExaminationsOf((), ())
    assert seen(place, 'Blue dahlia').latest is None


def test_borderline_grades_have_both_words(place, folder):
    grade = RECORD.grade.model_copy(update={'borderline': True, 'band': 'one', 'other_band': 'two'})
    put_examination(folder, '0001', RECORD.model_copy(update={'grade': grade}))
    assert seen(place).latest.grade.condition == 'one or two'


def test_a_review_made_later_is_noticed(place, folder):
    record_file = put_examination(folder, '0001', RECORD)
    before = seen(place).latest
    review = put_review(record_file, RECORD, 1, 2)
    after = seen(place).latest
    assert after.is_reviewed
    assert after.grade.score == review.result.grade.score > before.grade.score
    assert after.found_grade == before.grade
    (folder / 'examinations' / '0001' / 'review.json').unlink()
    assert seen(place).latest == before


def test_an_empty_review_says_nothing(place, folder):
    put_review(put_examination(folder, '0001', RECORD), RECORD)
    assert not seen(place).latest.is_reviewed
    assert seen(place).faults == ()


def test_the_latest_is_that_of_the_stated_times(place, folder):
    put_examination(folder, '0001', sample_record(made_at='2025-06-01T10:00:00'))
    put_examination(folder, '0002', sample_record(made_at='2024-06-01T10:00:00'))
    found = seen(place)
    assert [row.number for row in found.readable] == [2, 1]
    assert [row.name for row in found.readable] == [one.name for one in read_history(folder).examinations]


def test_without_times_the_one_stored_last_is_the_latest(place, folder):
    put_examination(folder, '0001', sample_record(made_at='2025-06-01T10:00:00'))
    put_examination(folder, '0002', sample_record())
    assert seen(place).latest.number == 2


def test_the_open_and_the_sealed_form_count_once(place, folder):
    put_examination(folder, '0001', RECORD)
    put_examination(folder, '0002/data/examination', RECORD)
    found = seen(place)
    assert [row.number for row in found.readable] == [1]
    shutil.rmtree(folder / 'examinations' / '0001')
    found = seen(place)
    assert found.latest.record == 'examinations/0002/data/examination/record.json'
    assert found.faults == ()


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        (b'', 'is not JSON text'),
        (b'{"record_version": 1', 'is not JSON text'),
        (b'[' * 100_000, 'is not JSON text'),
        (b'[]', 'is not what its name says'),
        (b'{}', 'is of a version that this program does not know'),
        (b'{"record_version": 1}', 'lacks fields of a record'),
        (b'\xff\xfe', 'is not UTF-8 text'),
    ],
)
def test_a_record_that_is_none_is_told_and_hides_nothing(place, folder, text, words):
    put_examination(folder, '0001', RECORD)
    (folder / 'examinations' / '0002').mkdir()
    (folder / 'examinations' / '0002' / 'record.json').write_bytes(text)
    found = seen(place)
    assert found.latest.number == 1
    assert found.faults == (f"0002: its record {words}.",)


ODD_VALUES = (None, 1, 'x', [], {}, [[1]], {'score': float('nan')})
HARMLESS = (
    ('made_at', 'x'), ('photo', 'x'), ('photos', []), ('photos', {}), ('measurements', {}),
    ('measurements', {'score': float('nan')}),
)  # fmt: skip


@pytest.mark.parametrize('key', ['grade', 'made_at', 'measurements', 'outline_px', 'photo', 'photos'])
@pytest.mark.parametrize('value', ODD_VALUES, ids=repr)
def test_a_field_of_the_wrong_kind_is_told_as_such(key, value):
    text = json.dumps({**json.loads(RECORD.to_json()), key: value}).encode()
    if any(key == one and repr(value) == repr(other) for one, other in HARMLESS):
        assert light_record(text).grade.score == RECORD.grade.score
    else:
        with pytest.raises(NotLight, match='lacks fields of a record'):
            light_record(text)


def test_halves_of_signs_and_odd_names_do_no_harm(place, folder):
    text = RECORD.to_json().replace('"photo": "a.jpg"', '"photo": "a\\ud800.jpg"')
    put_examination(folder, '0001', RECORD).write_text(text, encoding='utf-8')
    os.mkdir(os.fsencode(folder / 'examinations') + b'/0002-\xff')
    found = seen(place)
    assert found.latest.photo == 'a\\ud800.jpg'
    assert found.faults == ("0002-\\udcff: there is no record.json in it.",)


def test_a_review_of_another_record_is_told_and_not_used(place, folder):
    record_file = put_examination(folder, '0001', RECORD)
    put_review(record_file, RECORD, 1)
    record_file.write_text(round_record().to_json(), encoding='utf-8')
    found = seen(place)
    assert not found.latest.is_reviewed
    assert found.faults == (
        "0001: review.json is the review of other contents of the record; the score is that of the record.",
    )


def test_a_broken_review_is_told(place, folder):
    record_file = put_examination(folder, '0001', RECORD)
    record_file.with_name('review.json').write_text('{', encoding='utf-8')
    assert seen(place).faults == ("0001: review.json is not JSON text; the score is that of the record.",)
    record_file.with_name('review.json').unlink()
    record_file.with_name('review.json').mkdir()
    assert 'its review cannot be opened' in seen(place).faults[0]


def test_quick_and_full_reading_agree():
    for record in (RECORD, sample_set_record()):
        text = record.to_json()
        quick, full = light_record(text.encode()), light_record(json.dumps(json.loads(text)).encode())
        assert (quick.grade, quick.box_px, quick.photo) == (full.grade, full.box_px, full.photo)


def test_a_review_that_lacks_its_result():
    with pytest.raises(NotLight, match='lacks fields of a review'):
        reviewed_grade(b'{"review_version": 1, "record_sha256": "x", "entries": [1], "result": null}', 'x')


def test_folders_that_go_and_come_are_noticed(place, folder, tmp_path):
    put_examination(folder, '0001', RECORD)
    assert seen(place).latest is not None
    shutil.move(folder, tmp_path / 'away')
    with index_for_reading(place, 'test', examined=lambda index: None) as index:
        assert index.connection.execute('SELECT count(*) FROM examinations').fetchone() == (0,)
    shutil.move(tmp_path / 'away', folder)
    assert seen(place).latest is not None
    put_examination(folder, '0002', sample_record())
    assert seen(place).latest.number == 2


def test_an_index_of_an_earlier_version_is_made_anew(place, folder):
    put_examination(folder, '0001', RECORD)
    seen(place)
    with index_for_reading(place, 'test') as index, index.connection:
        index.connection.execute('DROP TABLE examinations')
        index.connection.execute('PRAGMA user_version = 1')
    assert seen(place).latest is not None
    (place.own / INDEX_FILE).write_bytes(b'no database at all' * 100)
    assert seen(place).latest is not None


def test_only_what_is_asked_for_is_read(place, folder):
    put_examination(folder, '0001', RECORD)
    with index_for_reading(place, 'test', examined=lambda index: []) as index:
        assert index.shelf_row(folder.name).examinations.latest is None
    assert shelf_row_as_known(place, index_id(place, folder)) is None
    with index_for_reading(place, 'test', examined=lambda index: [folder.name, 'nothing']) as index:
        assert index.shelf_row(folder.name) == index.shelf((), 'inventory', slice(None))[0]
    assert shelf_row_as_known(place, index_id(place, folder)).examinations.latest is not None
    put_examination(folder, '0002', RECORD)
    assert shelf_row_as_known(place, index_id(place, folder)) is None
    assert shelf_row_as_known(place, 'zzzzzzzz') is None
    (place.own / INDEX_FILE).unlink()
    assert shelf_row_as_known(place, 'zzzzzzzz') is None


def index_id(place, folder):
    return next(row.id for row in rows(place) if row.folder == folder.name)


def test_what_is_read_is_of_one_moment(place, folder):
    put_examination(folder, '0001', RECORD)
    with index_for_reading(place, 'test', examined=lambda index: None) as index:
        before = index.shelf((), 'title', slice(None))
        with locked(place, 'reindex'):
            drop_index(place)
        add(place, {'title': "A new one"})
        assert len(rows(place)) == 3
        assert index.shelf((), 'title', slice(None)) == before
        assert index.n_pieces() == 2
    assert len(rows(place)) == 3
