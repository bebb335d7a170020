"""Counting how often people agree with the program: only records of which every mark was spoken of are labels."""

import hashlib

from grader.review.apply import new_review, with_entries
from tests.benchmark.reviewed_records import count_folder
from tests.support.reviewed import add, confirm, log_of, reject, relabel, round_record


def reviewed(folder, *acts):
    folder.mkdir(parents=True)
    record = round_record()
    text = record.to_json().encode()
    (folder / 'record.json').write_bytes(text)
    review = new_review(record, 'record.json', hashlib.sha256(text).hexdigest())
    (folder / 'review.json').write_text(with_entries(review, record, log_of(record, *acts)).to_json(), encoding='utf-8')


def test_every_mark_counts_once_by_what_the_person_says(tmp_path):
    acts = (confirm(1), relabel(2, 'bubble'), reject(3), reject(4), confirm(5), add('chip', 0.4, 2.0))
    reviewed(tmp_path / 'first', *acts)
    agreement, left_out = count_folder(tmp_path)
    assert left_out == []
    assert agreement.n_records == 1
    assert dict(agreement.found) == {'scratch': 1, 'bubble': 1}
    assert agreement.kind_right == {'scratch': 1, 'bubble': 0}
    # Mark 5 is there and was not reported; the added one was not found at all.
    assert dict(agreement.missed) == {'chip': 2}
    assert dict(agreement.false) == {'bubble': 1, 'dust': 1}
    assert sorted(agreement.said) == [(0.3, True), (0.55, False), (0.6, False), (0.8, True), (0.93, True)]
    assert 'given 0.8 to 1.0: 2 of 2 are there' in agreement.words()


def test_silence_is_no_label(tmp_path):
    reviewed(tmp_path / 'half', confirm(1), reject(4))
    agreement, left_out = count_folder(tmp_path)
    assert agreement.n_records == 0
    assert left_out == [f'{tmp_path / "half" / "record.json"}: nothing is said of 2, 3, 5']


def test_a_record_that_was_changed_is_left_out(tmp_path):
    reviewed(tmp_path / 'changed', confirm(1))
    with (tmp_path / 'changed' / 'record.json').open('a', encoding='utf-8') as file:
        file.write(' ')
    agreement, left_out = count_folder(tmp_path)
    assert agreement.n_records == 0
    assert 'record.json' in left_out[0]
