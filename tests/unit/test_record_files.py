"""Files that should hold a record and hold something hostile."""

import json
import os

import pytest

from grader.commands.review_store import record_at, review_of
from grader.constants import MAX_RECORD_BYTES
from grader.errors import RecordUnreadable
from grader.record import MarkFacts, read_record, record_from_bytes
from tests.support.reviewed import round_record
from tests.support.run_grader import run_grader
from tests.support.sample_record import SCRATCH, sample_record


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / 'record.json')
    with pytest.raises(RecordUnreadable, match=r'record\.json: this is no ordinary file, and a record is needed'):
        read_record(tmp_path / 'record.json')
    assert run_grader('show', tmp_path / 'record.json').code == 3


def test_a_pipe_in_the_place_of_the_review(tmp_path):
    (tmp_path / 'record.json').write_text(sample_record().to_json(), encoding='utf-8')
    os.mkfifo(tmp_path / 'review.json')
    with pytest.raises(RecordUnreadable, match=r'review\.json: this is no ordinary file'):
        review_of(record_at(tmp_path / 'record.json'))


def test_a_device_without_an_end():
    run = run_grader('show', '/dev/zero')
    assert run.code == 3
    assert run.err.startswith("zero: this is no ordinary file")


def test_a_very_large_file_is_not_read(tmp_path):
    path = tmp_path / 'record.json'
    with path.open('wb') as file:
        file.truncate(MAX_RECORD_BYTES + 1)
    with pytest.raises(RecordUnreadable, match=r'has 33,554,433 bytes, and a record has at most 33,554,432'):
        read_record(path)


@pytest.mark.parametrize('n_levels', [50, 300, 900, *range(960, 1001), 100_000])
def test_deep_nesting(n_levels):
    for field in ('record_version', 'grade'):
        nested = '[' * n_levels + ']' * n_levels
        text = f'{{"record_version": 1, "{field}": {nested}}}'
        with pytest.raises(RecordUnreadable) as caught:
            record_from_bytes(text.encode(), 'a.json')
        assert str(caught.value).startswith("a.json: ")
        assert len(str(caught.value)) < 400


@pytest.mark.parametrize('version', ['"' + 'A' * 100_000 + '"', '9' * 4000, '{"a": ' * 90 + '1' + '}' * 90])
def test_a_version_that_is_none_is_not_repeated_at_length(version):
    with pytest.raises(RecordUnreadable) as caught:
        record_from_bytes(f'{{"record_version": {version}}}'.encode(), 'a.json')
    assert len(str(caught.value)) < 300


def test_messages_do_not_write_over_a_screen():
    for field in ('"\\u001b[2J": 1', '"record_version": "\\u001b[2J"'):
        with pytest.raises(RecordUnreadable) as caught:
            record_from_bytes(f'{{"record_version": 1, {field}}}'.encode(), 'a.json')
        assert '\x1b' not in str(caught.value)


def test_just_before_twelve_o_clock_is_rounded_to_twelve_which_is_zero(tmp_path):
    mark = SCRATCH.model_copy(update={'clock_h': None})
    assert MarkFacts(**{**mark.model_dump(), 'clock_h': 11.996}).clock_h == 0.0
    assert MarkFacts(**{**mark.model_dump(), 'clock_h': 11.99}).clock_h == 11.99
    path = tmp_path / 'record.json'
    text = sample_record(marks=(SCRATCH,)).to_json()
    path.write_text(text.replace('"clock_h": 4.1', '"clock_h": 12.0'), encoding='utf-8')
    assert run_grader('review', path, 'confirm', 1, '--initials', 'AB', '--reason', 'felt').code == 0


def test_numbers_that_do_not_fit_together(tmp_path):
    path = tmp_path / 'record.json'
    text = round_record().to_json()
    path.write_text(text.replace('"value": 71.03', '"value": 0.0'), encoding='utf-8')
    run = run_grader('review', path, 'add', 'scratch', '--line', '400,380 520,400', '--initials', 'AB', '--reason', 'x')
    assert run.code == 3
    assert "record.json: its numbers do not fit together" in run.err
    assert [one.name for one in tmp_path.iterdir()] == ['record.json']


@pytest.mark.parametrize(
    'outline', ['[]', '[[1.0, 1.0], [2.0, 2.0], [3.0, 3.0]]', '[[1e300, 0.0], [0.0, 1e300], [5.0, 5.0]]']
)
def test_an_outline_that_is_none(tmp_path, outline):
    path = tmp_path / 'record.json'
    fields = json.loads(round_record().to_json())
    path.write_text(json.dumps({**fields, 'outline_px': json.loads(outline)}), encoding='utf-8')
    run = run_grader('review', path, 'add', 'scratch', '--line', '400,380 520,400', '--initials', 'AB', '--reason', 'x')
    assert run.code == 6
    assert "a.jpg: what the record gives as the piece's outline is none" in run.err
    assert 'Warning' not in run.err
