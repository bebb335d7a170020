"""The record's JSON: stable text, a shipped schema that agrees with it, and words for what cannot be read."""

import json
from pathlib import Path

import jsonschema
import pytest

from grader.errors import RecordUnreadable
from grader.record import read_record, schema_text
from tests.support.sample_record import SCRATCH, sample_findings, sample_record

SCHEMA_FILE = Path(__file__).parents[2] / 'grader' / 'schemas' / 'record_v1.schema.json'


def test_shipped_schema_is_that_of_the_models():
    assert SCHEMA_FILE.read_text(encoding='utf-8') == schema_text()


def test_record_satisfies_the_shipped_schema():
    schema = json.loads(SCHEMA_FILE.read_text(encoding='utf-8'))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(sample_record().to_json()), schema)
    with pytest.raises(jsonschema.ValidationError, match='confidence'):
        fields = json.loads(sample_record().to_json())
        del fields['marks'][0]['confidence']
        jsonschema.validate(fields, schema)


def test_text_is_stable():
    text = sample_record().to_json()
    assert text == sample_record().to_json()
    assert text.endswith('}\n')
    keys = [line.split('"')[1] for line in text.splitlines() if line.startswith(' "')]
    assert keys == sorted(keys)
    assert '\n  [0.0, 0.0],\n' in text


def test_fields_are_rounded_and_have_no_negative_zero():
    mark = SCRATCH.model_copy(update={})
    fields = {**mark.model_dump(), 'centre_px': (1.23456, -0.001), 'length_mm': 1.23456, 'confidence': 0.123456}
    rounded = type(mark)(**fields)
    assert rounded.centre_px == (1.23, 0.0)
    assert str(rounded.centre_px[1]) == '0.0'
    assert (rounded.length_mm, rounded.confidence) == (1.235, 0.1235)


def test_without_a_card_no_millimetres_are_written():
    measurements = sample_findings().measurements.model_copy(
        update={'diameter_max_mm': None, 'diameter_min_mm': None, 'ring_mm': None, 'u_ring_mm': None}
    )
    fields = json.loads(sample_record(measurements=measurements).to_json())
    assert not [name for name in fields['measurements'] if name.endswith('_mm')]


def test_it_reads_what_it_wrote(tmp_path):
    record = sample_record(other_findings=(sample_findings('b.jpg'),), made_at='2026-03-10T10:09:00+02:00')
    path = tmp_path / 'record.json'
    path.write_text(record.to_json(), encoding='utf-8')
    assert read_record(path) == record
    assert read_record(path).to_json() == record.to_json()


def changed(**fields: object) -> str:
    return json.dumps({**json.loads(sample_record().to_json()), **fields})


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ('', r'^r\.json: this is not a record; it is not even JSON text\. Give the record\.json'),
        ('{"record_version": 1', 'it is not even JSON text'),
        ('[' * 100_000, 'it is not even JSON text'),
        ('[]', r'^r\.json: the record is of version None, and version 1 is needed\. Use a newer grader'),
        ('{"record_version": 7}', 'the record is of version 7, and version 1 is needed'),
        ('{"record_version": 1}', r'field\(s\) of the record are wrong, the first is "photo": Field required'),
        (changed(surprise=1), r'the first is "surprise": Extra inputs'),
        (changed(unseen_ratio='much'), r'the first is "unseen_ratio": Input should be a valid number'),
        (changed(unseen_ratio=float('nan')), r'the first is "unseen_ratio": Input should be a finite number'),
    ],
    ids=['empty', 'cut', 'deep', 'list', 'newer', 'bare', 'extra field', 'wrong type', 'not a number'],
)
def test_unreadable_records_say_why(tmp_path, text, words):
    path = tmp_path / 'r.json'
    path.write_text(text, encoding='utf-8')
    with pytest.raises(RecordUnreadable, match=words):
        read_record(path)


def test_missing_and_binary_files(tmp_path):
    with pytest.raises(RecordUnreadable, match=r'^no\.json: the record cannot be opened \(No such file'):
        read_record(tmp_path / 'no.json')
    (tmp_path / 'r.json').write_bytes(b'\xff\xfe\x00')
    with pytest.raises(RecordUnreadable, match='not even JSON text'):
        read_record(tmp_path / 'r.json')
