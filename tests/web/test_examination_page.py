"""The page of an examination over HTTP: what it shows, what can be said on it, and what goes wrong in words."""

import io
import json

import numpy as np
import pytest
from PIL import Image

from grader.collection.lock import locked
from grader.commands.review_store import record_at, review_of
from grader.web.desk import Desk
from tests.support.page_client import PageClient
from tests.support.reviewed import square_px
from tests.support.shown_examination import shown_examination

WHO = {'initials': 'AB', 'reason': "seen with a loupe"}


class Page:
    """A page that is asked as its own script asks."""

    def __init__(self, client, shown):
        self.client, self.shown = client, shown

    def get(self, path=''):
        return self.client.get(self.shown.address + path)

    def state(self):
        return self.get('/review.json').json()['state']

    def send(self, body, **settings):
        headers = {'Accept': 'application/json', 'Content-Type': 'application/json'}
        data = body if isinstance(body, bytes) else json.dumps(body).encode()
        return self.client.post(self.shown.address + '/review.json', content=data, headers=headers, **settings)

    def say(self, *acts, entries=None, **who):
        wishes = [{'act': act, **WHO, **who} for act in acts]
        entries = self.state()['entries'] if entries is None else entries
        return self.send({'entries': entries, 'wishes': wishes})


@pytest.fixture
def open_page(tmp_path):
    clients = []

    def open_one(**settings):
        shown = shown_examination(tmp_path, **settings)
        client = PageClient(Desk(shown.place.root))
        clients.append(client)
        return Page(client.__enter__(), shown)

    yield open_one
    for client in clients:
        client.__exit__(None, None, None)


@pytest.fixture
def page(open_page):
    return open_page()


def drawing(*where, **changes):
    return {'shape': 'outline', 'points_px': square_px(*where), **changes}


def test_the_page_tells_grade_marks_and_what_could_not_be_seen(page):
    answer = page.get()
    grade = page.shown.record.grade
    assert answer.status_code == 200
    for words in (grade.headline, f"{grade.score:.0f}", "chip", "What could not be seen", "71.03 mm ± 0.62 mm"):
        assert words in answer.text
    assert 'style=' not in answer.text
    assert '<script>' not in answer.text


def test_state_holds_marks_with_their_places(page):
    facts = page.get('/review.json').json()
    assert [mark['number'] for mark in facts['state']['marks']] == [1, 2, 3, 4, 5]
    assert [mark['group'] for mark in facts['state']['marks']] == ['found', 'found', 'found', 'found', 'possible']
    outline = facts['state']['marks'][0]['places'][0]['outline']
    assert outline == [list(point) for point in page.shown.record.marks[0].outline_px]
    photo = facts['photos'][0]
    assert (photo['width'], photo['height'], photo['no_drawing']) == (1000, 800, '')
    assert photo['unseen'][0]['letter'] == 'A'


def test_a_confirmation_is_noted_and_changes_the_grade(page):
    before = page.state()
    answer = page.say({'action': 'confirm', 'mark': 5})
    assert answer.status_code == 200
    after = answer.json()['state']
    assert after['entries'] == 1
    assert after['marks'][4]['status'] == 'confirmed'
    assert float(after['grade']['score']) < float(before['grade']['score'])
    assert after['found_grade'] == before['grade']
    assert "confirmed" in ' '.join(after['changes'])
    assert after['log'][0]['by'] == 'AB'
    at_hand = record_at(page.shown.folder / 'record.json')
    assert [entry.reason for entry in review_of(at_hand).entries] == ["seen with a loupe"]


@pytest.mark.parametrize(
    ('act', 'status'),
    [
        ({'action': 'reject', 'mark': 1}, 'rejected'),
        ({'action': 'relabel', 'mark': 1, 'kind': 'bubble'}, 'confirmed'),
        ({'action': 'redraw', 'mark': 1, 'drawing': drawing(0.5, 4.0, 30.0)}, 'confirmed'),
    ],
    ids=lambda one: one['action'] if isinstance(one, dict) else one,
)
def test_each_act_is_noted(page, act, status):
    answer = page.say(act)
    assert answer.status_code == 200, answer.text
    assert answer.json()['state']['marks'][0]['status'] == status


def test_a_drawn_mark_is_added_measured_and_taken_back(open_page):
    page = open_page(photo=False)
    answer = page.say({'action': 'add', 'kind': 'chip', 'drawing': drawing(0.4, 2.0)})
    assert answer.status_code == 200, answer.text
    added = answer.json()['state']['marks'][-1]
    assert (added['number'], added['status'], added['group']) == (6, 'added', 'found')
    assert 'mm' in added['size']
    assert added['places'][0]['outline'] == [list(point) for point in np.round(square_px(0.4, 2.0), 2)]
    assert "measured by the record alone" in answer.json()['notes'][0]
    undone = page.say({'action': 'undo'}).json()['state']
    assert [mark['number'] for mark in undone['marks']] == [1, 2, 3, 4, 5]
    assert [entry['counts'] for entry in undone['log']] == [False, True]
    assert undone['grade'] == undone['found_grade']


def test_what_another_window_noted_is_not_lost(page):
    assert page.say({'action': 'confirm', 'mark': 1}, entries=0).status_code == 200
    answer = page.say({'action': 'reject', 'mark': 1}, entries=0)
    assert answer.status_code == 409
    told = answer.json()
    assert "changed in another window" in told['problem']
    assert told['state']['entries'] == 1
    assert told['state']['marks'][0]['status'] == 'confirmed'
    assert page.state()['entries'] == 1


def test_several_acts_are_noted_all_or_none(page):
    answer = page.say({'action': 'confirm', 'mark': 1}, {'action': 'confirm', 'mark': 77})
    assert answer.status_code == 422
    assert "There is no mark 77" in answer.json()['problem']
    assert not page.shown.review_file.exists()


@pytest.mark.parametrize(
    ('act', 'words'),
    [
        ({'action': 'undo'}, "There is nothing to undo"),
        ({'action': 'confirm', 'mark': 0}, "mark"),
        ({'action': 'polish', 'mark': 1}, "cannot be noted"),
        ({'action': 'relabel', 'mark': 1, 'kind': 'crack'}, "kind"),
        ({'action': 'add', 'kind': 'chip', 'drawing': {'shape': 'outline', 'points_px': []}}, "3 points"),
        ({'action': 'add', 'kind': 'chip', 'drawing': drawing(0.4, 2.0, photo='other.png')}, "other.png"),
        ({'action': 'add', 'kind': 'chip', 'drawing': drawing(1.2, 3.0)}, "beside the piece"),
        (
            {'action': 'add', 'kind': 'chip', 'drawing': {'shape': 'outline', 'points_px': [[1, 1], [9, 9], [9, 1], [1, 9]]}},
            "crosses itself",
        ),
        ({'action': 'add', 'kind': 'chip', 'drawing': {'shape': 'line', 'points_px': [[1, 1], [1e300, 9]]}}, "outside"),
        (
            {'action': 'add', 'kind': 'chip', 'drawing': {'shape': 'line', 'points_px': [[1, 1]] * 501}},
            "500",
        ),
    ],
    ids=str,
)  # fmt: skip
def test_what_does_not_fit_is_told_in_words_of_the_page(page, act, words):
    answer = page.say(act)
    assert answer.status_code == 422
    told = answer.json()
    assert words in told['problem']
    assert '--' not in told['problem'] + told['remedy']
    assert 'grader review' not in told['problem'] + told['remedy']
    assert not page.shown.review_file.exists()


@pytest.mark.parametrize('field', ['initials', 'reason'])
@pytest.mark.parametrize('value', ['', '  ', '\x07', 'x' * 600], ids=['none', 'blank', 'bell', 'long'])
def test_initials_and_reason_are_asked_for(page, field, value):
    answer = page.say({'action': 'confirm', 'mark': 1}, **{field: value})
    assert answer.status_code == 422
    assert '--' not in answer.json()['problem'] + answer.json()['remedy']
    assert not page.shown.review_file.exists()


@pytest.mark.parametrize(
    'body',
    [
        b'', b'\xff\xfe', b'null', b'[]', b'{}', b'{"entries": 0}', b'{"entries": -1, "wishes": []}', b'[' * 60_000,
        b'{"entries": NaN, "wishes": [{}]}', b'{"entries": 1e999, "wishes": 3}', b'{"entries": 0, "wishes": ["\\ud800"]}',
        b'{"entries": 0, "wishes": [{"act": {"action": "confirm", "mark": 1}, "initials": "A", "reason": "b", "more": 1}]}',
    ],
    ids=lambda body: str(body[:40]),
)  # fmt: skip
def test_a_broken_body_is_told_in_words(page, body):
    answer = page.send(body)
    assert answer.status_code == 422
    assert answer.json()['problem']
    assert not page.shown.review_file.exists()


def test_a_body_without_end_is_not_read_to_the_end(page):
    answer = page.send(b'{"entries": 0, "wishes": [' + b' ' * 300_000)
    assert answer.status_code == 413
    assert answer.json()['problem']


def test_a_sealed_examination_cannot_be_reviewed(open_page):
    page = open_page(sealed=True)
    assert "sealed" in page.state()['sealed']
    answer = page.say({'action': 'confirm', 'mark': 1})
    assert 400 <= answer.status_code < 600
    assert "sealed" in answer.json()['problem']
    assert not page.shown.review_file.exists()
    assert page.get('/review.json').json()['photos'][0]['name'] == 'a.png'


def test_a_damaged_review_is_told_in_words(page):
    page.shown.review_file.write_text('{')
    assert page.get('/review.json').status_code == 422
    answer = page.get()
    assert answer.status_code == 422
    assert "review" in answer.text


@pytest.mark.parametrize(
    'path', ['/pieces/none/examinations/1', '/pieces/{id}/examinations/2', '/pieces/{id}/examinations/0']
)
def test_what_is_not_there_is_told_in_words(page, path):
    answer = page.client.get(path.format(id=page.shown.piece.piece.id))
    assert answer.status_code == 404


def test_tiles_hold_the_photos_own_pixels(page):
    photo = page.get('/review.json').json()['photos'][0]
    answer = page.client.get(f"{photo['address']}/0/1/1.png")
    assert answer.status_code == 200
    assert answer.headers['content-type'] == 'image/png'
    tile = np.asarray(Image.open(io.BytesIO(answer.content)))
    assert np.array_equal(tile, page.shown.rgb[512:800, 512:1000])
    fit = Image.open(io.BytesIO(page.client.get(f"{photo['address']}/fit.jpg").content))
    assert fit.size == (1000, 800)


def test_pictures_come_while_another_program_has_the_lock(page):
    photo = page.get('/review.json').json()['photos'][0]
    with locked(page.shown.place, 'test'):
        assert page.client.get(f"{photo['address']}/small.jpg").status_code == 200


def test_pictures_come_where_the_folder_has_another_name(page):
    photo = page.get('/review.json').json()['photos'][0]
    page.shown.piece.folder.rename(page.shown.piece.folder.with_name("My best one"))
    assert page.client.get(f"{photo['address']}/small.jpg").status_code == 200


@pytest.mark.parametrize(
    'path', ['0/9/0.png', '0/0/9.png', '7/0/0.png', '99999999999/0/0.png', '0/0/99999999999999999999.png']
)
def test_tiles_beyond_the_photo_are_not_there(page, path):
    photo = page.get('/review.json').json()['photos'][0]
    assert page.client.get(f"{photo['address']}/{path}").status_code == 404


def test_pictures_of_another_photo_are_not_there(page):
    photo = page.get('/review.json').json()['photos'][0]
    assert page.client.get(photo['address'][:-64] + '0' * 64 + '/fit.jpg').status_code == 404
    assert page.client.get(photo['address'].replace('/photos/0/', '/photos/1/') + '/fit.jpg').status_code == 404


def test_a_missing_photo_leaves_the_rest_of_the_page(open_page):
    page = open_page(photo=False)
    photo = page.get('/review.json').json()['photos'][0]
    answer = page.client.get(f"{photo['address']}/fit.jpg", headers={'Accept': 'application/json'})
    assert answer.status_code == 422
    assert "a.png: not found" in answer.json()['problem']
    assert page.say({'action': 'confirm', 'mark': 1}).status_code == 200
