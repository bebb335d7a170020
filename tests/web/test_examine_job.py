"""From waiting photos to a stored examination, with what may come between."""

import json
import shutil
import threading
from pathlib import Path

import pytest

from grader.collection.examinations import examinations_of
from grader.errors import DraftNotFound
from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.settings import Settings, SizeSettings
from grader.web.drafts import discard_draft, folder_of
from grader.web.examine_job import examine_draft
from tests.support.draft_page import PHOTOS, DraftPage, photo_bytes, plain_photo, wait_for


@pytest.fixture
def pages(tmp_path):
    page = DraftPage(tmp_path)
    with page.client:
        yield page


class NotingProgress(SilentProgress):
    """Notes what is told, and does something at the first mention of a word."""

    def __init__(self, word='', act=lambda: None):
        self.told, self.word, self.act = [], word, act

    def begin(self, what):
        self.told.append(what)
        if self.word and self.word in what:
            self.word = ''
            self.act()


def run(pages, progress=None):
    return examine_draft(progress or SilentProgress(), str(pages.place.root), pages.piece_id, pages.token)


def test_the_whole_way_from_a_photo_to_a_stored_examination(pages):
    assert pages.send(('swirl-clean.jpg', photo_bytes())).status_code == 201
    answer = pages.tell('examine', height='60', time_by='owner', when='2026-03-10T10:09')
    assert answer.status_code == 303
    facts = pages.wait_for_job(answer.headers['location'])
    assert (facts['state'], facts['goes_to']) == ('done', f'/pieces/{pages.piece_id}/examinations/1')
    (stored,) = examinations_of(pages.piece_folder)
    assert stored.folder.name == '0001-2026-03-10'
    assert sorted(path.name for path in stored.folder.iterdir()) == ['photos', 'record.json', 'swirl-clean.marked.jpg']
    assert (stored.folder / 'photos' / 'swirl-clean.jpg').read_bytes() == photo_bytes()
    assert pages.files() == []
    # The record is that of the command with the same options.
    settings = Settings(size=SizeSettings(height_mm=60.0))
    by_command = examine_photos([PHOTOS / 'swirl-clean.jpg'], settings, now=None, progress=SilentProgress()).record
    record = json.loads((stored.folder / 'record.json').read_text())
    assert record['made_at'] == '2026-03-10T10:09:00'
    assert record | {'made_at': ''} == json.loads(by_command.to_json())


def test_pressed_twice_it_is_examined_once(pages):
    pages.send(('a.jpg', photo_bytes()))
    answers = []
    threads = [threading.Thread(target=lambda: answers.append(pages.tell('examine'))) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    first, second = (answer.headers['location'] for answer in answers)
    assert first == second
    pages.wait_for_job(first)
    assert len(examinations_of(pages.piece_folder)) == 1
    late = pages.tell('examine')
    assert late.status_code == 404
    assert "were examined, or discarded" in late.text


def test_photos_are_left_alone_while_they_are_examined(pages):
    pages.send(('a.jpg', photo_bytes()))
    address = pages.tell('examine').headers['location']
    answer = pages.send(('b.jpg', plain_photo()))
    assert answer.status_code == 422
    assert "being examined at this moment" in answer.json()['problem']
    assert "See how far it is" in pages.client.get(pages.address).text
    pages.wait_for_job(address)


def test_what_cannot_be_examined_stays_and_is_told(pages):
    pages.send(('empty.jpg', plain_photo()))
    facts = pages.wait_for_job(pages.tell('examine').headers['location'])
    assert facts['state'] == 'failed'
    assert facts['goes_to'] == pages.address
    assert facts['remedy']
    assert [photo.name for photo in pages.draft.photos] == ['empty.jpg']
    shown = pages.client.get(pages.address).text
    assert "The last examination did not come to an end: empty.jpg: " in shown
    assert "The photos still wait here." in shown
    assert not [name for name in pages.files() if 'result-' in name]


def test_without_a_photo_there_is_nothing_to_examine(pages):
    answer = pages.tell('examine')
    assert answer.status_code == 422
    assert "There is no photo to examine yet." in answer.text


def test_a_piece_that_was_removed_meanwhile_is_told_and_the_photos_stay(pages):
    pages.send(('a.jpg', photo_bytes()))
    job, _ = pages.desk.jobs.submit('short', "Examine", pages.address, examine_after_removal, *where(pages))
    facts = pages.wait_for_job(f'/jobs/{job}')
    assert facts['state'] == 'failed'
    assert "The piece was removed while its photos were examined" in facts['words']
    assert [photo.name for photo in pages.draft.photos] == ['a.jpg']


def where(pages):
    return str(pages.place.root), pages.piece_id, pages.token, str(pages.piece_folder)


def examine_after_removal(progress, root, piece_id, token, folder):
    """Take the piece away at the moment in which its photo is looked at."""
    meddling = NotingProgress("looking for marks", lambda: Path(folder).rename(Path(root) / 'trash' / 'gone'))
    return examine_draft(meddling, root, piece_id, token)


def test_photos_discarded_meanwhile_are_told(pages):
    pages.send(('a.jpg', photo_bytes()))
    meddling = NotingProgress("looking for marks", lambda: discard_draft(pages.place, pages.piece_id, pages.token))
    with pytest.raises(DraftNotFound, match="discarded while they were examined"):
        run(pages, meddling)
    assert examinations_of(pages.piece_folder) == ()


def test_progress_tells_what_is_done_by_name(pages):
    pages.send(('a.jpg', photo_bytes()), ('b.jpg', photo_bytes('canes-worn')))
    progress = NotingProgress()
    run(pages, progress)
    assert progress.told == [
        "finding the piece in a.jpg", "finding the piece in b.jpg", "looking for marks in a.jpg",
        "looking for marks in b.jpg", "putting together what the photos show", "drawing the marked pictures", "storing",
    ]  # fmt: skip


def test_a_stop_between_storing_and_tidying_stores_no_second_time(pages, tmp_path):
    pages.send(('a.jpg', photo_bytes()))
    folder = folder_of(pages.place, pages.token)
    copy = tmp_path / 'copy'
    shutil.copytree(folder, copy)
    first = run(pages)
    shutil.copytree(copy, folder)
    assert run(pages) == first
    assert len(examinations_of(pages.piece_folder)) == 1
    with pytest.raises(DraftNotFound):
        _ = pages.draft


def test_a_stopped_examination_leaves_the_photos(pages):
    pages.send(('a.jpg', photo_bytes('canes-worn')))
    address = pages.tell('examine').headers['location']
    wait_for(lambda: pages.client.get(f'{address}.json').json(), lambda facts: facts['n_steps'])
    assert pages.client.post(f'{address}/stop').headers['location'] == pages.address
    assert [photo.name for photo in pages.draft.photos] == ['a.jpg']
    assert examinations_of(pages.piece_folder) == ()
    again = pages.wait_for_job(pages.tell('examine').headers['location'])
    assert again['state'] == 'done'
    assert pages.files() == []
