"""The review on the disk: whole or not at all, one program at a time, and only for the record that was reviewed."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from grader.commands.review_store import change_review, record_at, review_of
from grader.errors import OutputNotWritable, RecordUnreadable
from grader.review.apply import with_entries
from grader.review.log import appended
from tests.support.reviewed import confirm, round_record, said

RECORD = round_record()


@pytest.fixture
def record_path(tmp_path):
    path = tmp_path / 'record.json'
    path.write_text(RECORD.to_json(), encoding='utf-8')
    return path


def one_more(review):
    return with_entries(review, RECORD, appended(review.entries, confirm(1), said(), None, 5))


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_the_review_lies_beside_the_record_which_stays_as_it_is(record_path):
    before = record_path.read_bytes()
    at_hand = record_at(record_path)
    written = change_review(at_hand, one_more)
    assert review_of(at_hand) == written
    assert names(record_path.parent) == ['record.json', 'review.json']
    assert record_path.read_bytes() == before


def test_a_record_of_a_batch_has_a_review_of_its_name(record_path):
    other = record_path.rename(record_path.with_name('IMG_1.json'))
    assert record_at(other).review_path.name == 'IMG_1.review.json'


def test_earlier_entries_are_kept(record_path):
    at_hand = record_at(record_path)
    first = change_review(at_hand, one_more)
    second = change_review(at_hand, one_more)
    assert second.entries[:1] == first.entries
    assert len(second.entries) == 2


def test_programs_wait_for_one_another_and_none_is_lost(record_path):
    at_hand = record_at(record_path)
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda _: change_review(at_hand, one_more), range(16)))
    assert len(review_of(at_hand).entries) == 16
    assert names(record_path.parent) == ['record.json', 'review.json']


def test_who_does_not_wait_is_noticed(record_path):
    at_hand = record_at(record_path)

    def change(review):
        at_hand.review_path.write_text('somebody else', encoding='utf-8')
        return one_more(review)

    with pytest.raises(OutputNotWritable, match=r"another program changed the review just now. Nothing was written"):
        change_review(at_hand, change)
    assert at_hand.review_path.read_text(encoding='utf-8') == 'somebody else'
    assert names(record_path.parent) == ['record.json', 'review.json']


def test_a_stop_in_the_middle_leaves_the_old_state(record_path):
    at_hand = record_at(record_path)
    change_review(at_hand, one_more)
    before = at_hand.review_path.read_bytes()

    def change(review):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        change_review(at_hand, change)
    assert at_hand.review_path.read_bytes() == before
    assert len(change_review(at_hand, one_more).entries) == 2


def test_a_record_that_changed_since(record_path):
    change_review(record_at(record_path), one_more)
    record_path.write_text(round_record(made_at='2026-03-10T10:09:00').to_json(), encoding='utf-8')
    with pytest.raises(RecordUnreadable, match=r"this is the review of other contents of record.json .*Bring back"):
        review_of(record_at(record_path))


def test_a_record_that_changes_meanwhile(record_path):
    at_hand = record_at(record_path)
    record_path.write_text(round_record(made_at='2026-03-10T10:09:00').to_json(), encoding='utf-8')
    with pytest.raises(RecordUnreadable, match=r"the record was changed while it was reviewed. Nothing was written"):
        change_review(at_hand, one_more)
    assert names(record_path.parent) == ['record.json']


def test_a_sealed_bag_is_left_alone(record_path):
    (record_path.parent / 'bagit.txt').write_text('BagIt-Version: 1.0\n')
    with pytest.raises(OutputNotWritable, match=r"lies in a sealed bag.*Give another file with --review"):
        change_review(record_at(record_path), one_more)


def test_the_result_is_worked_out_anew_and_not_believed(record_path):
    at_hand = record_at(record_path)
    written = change_review(at_hand, one_more)
    score = written.result.grade.score
    text = written.to_json().replace(f'"score": {score}', '"score": 99.9')
    at_hand.review_path.write_text(text, encoding='utf-8')
    assert review_of(at_hand) == written


def test_a_log_that_was_tampered_with(record_path):
    at_hand = record_at(record_path)
    text = change_review(at_hand, one_more).to_json().replace('"mark": 1', '"mark": 77')
    at_hand.review_path.write_text(text, encoding='utf-8')
    with pytest.raises(RecordUnreadable, match=r'entry 1 of the review does not fit the record'):
        review_of(at_hand)


def test_a_newer_review_is_refused(record_path):
    at_hand = record_at(record_path)
    change_review(at_hand, one_more)
    text = at_hand.review_path.read_text(encoding='utf-8').replace('"review_version": 1', '"review_version": 2')
    at_hand.review_path.write_text(text, encoding='utf-8')
    with pytest.raises(
        RecordUnreadable, match=r"the review is of version 2, and version 1 is needed. Use a newer grader"
    ):
        change_review(at_hand, one_more)
    assert at_hand.review_path.read_text(encoding='utf-8') == text


def test_the_record_is_never_taken_for_the_place_of_the_review(record_path):
    with pytest.raises(RecordUnreadable, match="the review is of version None"):
        change_review(record_at(record_path, record_path), one_more)


@pytest.mark.parametrize(
    ('name', 'words'), [('no.json', "the record cannot be opened"), ('folder', "this is no ordinary file")]
)
def test_a_record_that_is_not_there(tmp_path, name, words):
    (tmp_path / 'folder').mkdir()
    with pytest.raises(RecordUnreadable, match=words):
        record_at(tmp_path / name)
