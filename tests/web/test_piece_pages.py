"""Pages of a piece: facts, forms, two tabs, removing, pictures."""

import json
import threading
from io import BytesIO

import pytest
from PIL import Image

from grader.collection.lock import locked
from grader.collection.piece_folder import read_piece
from grader.record import read_record
from tests.support.collections import new_collection, rows
from tests.support.examined_pieces import put_examination, put_review
from tests.support.kept_piece import kept_piece
from tests.support.sample_record import sample_record
from tests.support.wall_pieces import FULL, HOSTILE, client_of, form_texts, hidden, multipart, texts


@pytest.fixture
def kept(tmp_path):
    return kept_piece(tmp_path)


@pytest.fixture
def client(kept):
    with client_of(kept.place.root) as made:
        yield made


def present(kept):
    return read_piece(kept.folder).piece


def edited(client, kept, **changes):
    """Open the form, change fields, and send it."""
    page = client.get(f'{kept.address}/edit').text
    return client.post(f'{kept.address}/edit', **multipart({**form_texts(page), 'was': hidden(page, 'was'), **changes}))


def test_a_piece_is_told_with_its_examinations_and_comparison(client, kept):
    page = client.get(kept.address).text
    for words in ("Amber swirl", "Glasshouse Nowhere", "10 March 2026", "2 March 2026", "not sealed", "Over time",
                  "Not filled in yet, of what Object ID asks for"):  # fmt: skip
        assert words in page
    for link in ('examinations/1', 'examinations/2', 'comparisons/1', 'compare', 'edit', 'remove', 'picture/large'):
        assert f'{kept.address}/{link}"' in page
    assert f'action="{kept.address}/drafts/new"' in page


def test_a_piece_without_anything(client, kept):
    other = next(row for row in rows(kept.place) if row.title == "Other")
    page = client.get(f'/pieces/{other.id}').text
    assert "No examination yet" in page
    assert "Photograph it on the printed card" in page
    assert "Over time" not in page


def test_both_scores_are_told_of_a_reviewed_examination(client, kept):
    record_file = next((kept.folder / 'examinations').glob('0002*')) / 'record.json'
    record = read_record(record_file)
    review = put_review(record_file, record, 1, 2)
    page = client.get(kept.address).text
    assert f"<b>{review.result.grade.score:.0f}</b> of 100" in page
    assert f"by the program alone {record.grade.score:.0f}, {record.grade.band}" in page


def test_what_cannot_be_read_of_a_piece_is_told(client, kept):
    put_examination(kept.folder, '0003', sample_record()).write_text('{')
    (next((kept.folder / 'comparisons').iterdir()) / 'comparison.json').write_text('{')
    page = client.get(kept.address).text
    assert "0003: its record is not JSON text." in page
    assert "comparison.json is not JSON text." in page


def test_history_is_drawn(client, kept):
    answer = client.get(f'{kept.address}/history.svg')
    assert answer.headers['content-type'].startswith('image/svg+xml')
    assert "Amber swirl" in answer.text


@pytest.mark.parametrize('path', ['/pieces/zzzzzzzz', '/pieces/zzzzzzzz/edit', '/pieces/zzzzzzzz/remove',
                                  '/pieces/zzzzzzzz/picture', '/pieces/..%2f..%2fetc', '/pieces/x/history.svg'])  # fmt: skip
def test_no_such_piece(client, path):
    answer = client.get(path)
    assert answer.status_code in (400, 404)
    assert 'Traceback' not in answer.text


def test_a_piece_is_added(client, kept):
    answer = client.post('/pieces/new', **multipart({'title': "New one", 'price': '85.50 GBP'}))
    assert answer.status_code == 303
    page = client.get(answer.headers['location']).text
    assert "New one" in page
    assert "85.50 GBP" in page


def test_an_empty_form_adds_nothing(client, kept):
    answer = client.post('/pieces/new', **multipart({'title': '  '}))
    assert answer.status_code == 422
    assert "fill in a title at least" in answer.text
    assert len(rows(kept.place)) == 2


def test_faults_are_told_at_their_fields_and_nothing_typed_is_lost(client, kept):
    sent = {'title': "Kept words", 'price': '85,50 GBP', 'value': '1.234 GBP', 'bought_when': '1968-13'}
    answer = client.post('/pieces/new', **multipart(sent))
    assert answer.status_code == 422
    assert "3 fields need another look" in answer.text
    assert "write 1250.50, without signs between the thousands" in answer.text
    assert "GBP has 2 decimals" in answer.text
    assert "1968-13" in answer.text
    assert {name: form_texts(answer.text)[name] for name in sent} == sent
    assert len(rows(kept.place)) == 2


def test_a_form_that_is_sent_back_unchanged_changes_nothing(client, kept):
    edited(client, kept, **FULL)
    before = (kept.folder / 'piece.json').read_bytes()
    n_earlier = len(list((kept.folder / 'earlier').iterdir()))
    assert edited(client, kept).status_code == 303
    assert (kept.folder / 'piece.json').read_bytes() == before
    assert len(list((kept.folder / 'earlier').iterdir())) == n_earlier


def test_every_field_can_be_filled_and_emptied(client, kept):
    assert edited(client, kept, **FULL).status_code == 303
    assert {name: str(value) for name, value in texts(present(kept)).items()} == {**FULL, 'value': '1,250.00 EUR'}
    page = client.get(kept.address).text
    assert all(text in page for text in FULL.values())
    assert edited(client, kept, **dict.fromkeys(FULL, '')).status_code == 303
    assert texts(present(kept)) == {}


@pytest.mark.parametrize('text', HOSTILE)
def test_hostile_text_survives_and_is_escaped(client, kept, text):
    assert edited(client, kept, title=text, notes=text).status_code == 303
    assert present(kept).title == present(kept).notes == text.strip()
    for address in (kept.address, f'{kept.address}/edit', f'{kept.address}/remove', '/'):
        page = client.get(address)
        assert page.status_code == 200
        assert not any(bad in page.text for bad in ('<script>alert', '<img src=x', '<b>out'))
    assert edited(client, kept).status_code == 303
    assert present(kept).notes == text.strip()


@pytest.mark.parametrize('text', ['x' * 20_001, 'a\x00b', 'bell \x07'])
def test_text_that_cannot_be_kept_is_told(client, kept, text):
    answer = edited(client, kept, notes=text)
    assert answer.status_code == 422
    assert present(kept).notes == ''


def test_two_tabs_lose_nothing(client, kept):
    page = client.get(f'{kept.address}/edit').text
    assert edited(client, kept, maker="Written in the second tab", notes="second").status_code == 303
    late = {**form_texts(page), 'was': hidden(page, 'was'), 'subject': "Written in the first tab", 'notes': "first"}
    answer = client.post(f'{kept.address}/edit', **multipart(late))
    assert answer.status_code == 409
    for words in ("Written in the first tab", "Written in the second tab", "Glasshouse Nowhere", "first", "second",
                  "Changed by you.", "Changed meanwhile; you left it as it was.", "meanwhile elsewhere too"):  # fmt: skip
        assert words in answer.text
    assert present(kept).maker == "Written in the second tab"
    choices = {
        **{name: late[name] for name in form_texts(page)}, 'was': hidden(answer.text, 'was'),
        'choice-maker': 'present', 'choice-subject': 'mine', 'choice-notes': 'mine',
    }  # fmt: skip
    assert client.post(f'{kept.address}/edit', **multipart(choices)).status_code == 303
    piece = present(kept)
    assert (piece.maker, piece.subject, piece.notes) == ("Written in the second tab", late['subject'], "first")


def test_a_piece_changed_once_more_while_one_chooses_is_asked_again(client, kept):
    page = client.get(f'{kept.address}/edit').text
    edited(client, kept, notes="second")
    late = {**form_texts(page), 'was': hidden(page, 'was'), 'notes': "first"}
    asked = client.post(f'{kept.address}/edit', **multipart(late))
    edited(client, kept, notes="third")
    late = {**late, 'was': hidden(asked.text, 'was'), 'choice-notes': 'present'}
    answer = client.post(f'{kept.address}/edit', **multipart(late))
    assert answer.status_code == 409
    assert "first" in answer.text
    assert "third" in answer.text
    assert present(kept).notes == "third"


def test_an_edit_by_hand_is_a_change_too(client, kept):
    page = client.get(f'{kept.address}/edit').text
    path = kept.folder / 'piece.json'
    path.write_text(json.dumps({**json.loads(path.read_text()), 'title': "By hand"}))
    late = {**form_texts(page), 'was': hidden(page, 'was'), 'title': "By form"}
    assert client.post(f'{kept.address}/edit', **multipart(late)).status_code == 409


def test_the_same_words_from_two_tabs_are_no_conflict(client, kept):
    page = client.get(f'{kept.address}/edit').text
    edited(client, kept, notes="the same")
    late = {**form_texts(page), 'was': hidden(page, 'was'), 'notes': "the same"}
    assert client.post(f'{kept.address}/edit', **multipart(late)).status_code == 303


def test_words_for_a_piece_that_is_gone_are_not_lost(client, kept):
    page = client.get(f'{kept.address}/edit').text
    assert client.post(f'{kept.address}/remove').status_code == 303
    late = {**form_texts(page), 'was': hidden(page, 'was'), 'notes': "words of an hour"}
    answer = client.post(f'{kept.address}/edit', **multipart(late))
    assert answer.status_code == 404
    assert form_texts(answer.text)['notes'] == "words of an hour"
    assert 'action="/pieces/new"' in answer.text


def test_a_busy_collection_is_told_and_nothing_typed_is_lost(client, kept, monkeypatch):
    monkeypatch.setitem(locked.__wrapped__.__kwdefaults__, 'wait_s', 0.1)
    page = client.get(f'{kept.address}/edit').text
    held, done = threading.Event(), threading.Event()

    def hold():
        with locked(kept.place, 'import'):
            held.set()
            done.wait(10)

    thread = threading.Thread(target=hold)
    thread.start()
    held.wait(10)
    sent = {**form_texts(page), 'was': hidden(page, 'was'), 'notes': "words of an hour"}
    answer = client.post(f'{kept.address}/edit', **multipart(sent))
    done.set()
    thread.join()
    assert answer.status_code == 503
    assert "another program is changing the collection" in answer.text
    assert form_texts(answer.text)['notes'] == "words of an hour"


def test_removing_asks_first_and_deletes_nothing(client, kept):
    page = client.get(f'{kept.address}/remove').text
    assert "trash/" in page
    assert kept.folder.exists()
    assert client.post(f'{kept.address}/remove').headers['location'] == '/'
    assert not kept.folder.exists()
    assert [path.name for path in kept.place.trash.glob('*/*')] == [kept.folder.name]
    assert client.post(f'{kept.address}/remove').status_code == 404


def test_pictures_are_small_squares_that_the_piece_fills(client, kept):
    answer = client.get(f'{kept.address}/picture')
    assert answer.headers['content-type'] == 'image/jpeg'
    assert answer.headers['cache-control'].startswith('private')
    with Image.open(BytesIO(answer.content)) as picture:
        assert picture.size == (440, 440)
        ground, glass = picture.getpixel((4, 4)), picture.getpixel((220, 12 + 440 * 6 // 112))
    assert min(ground) > 190
    assert max(glass) < 160
    again = client.get(f'{kept.address}/picture', headers={'If-None-Match': answer.headers['etag']})
    assert (again.status_code, again.content) == (304, b'')


def test_a_piece_without_photo_has_a_drawing(client, kept):
    other = next(row for row in rows(kept.place) if row.title == "Other")
    answer = client.get(f'/pieces/{other.id}/picture')
    assert answer.headers['content-type'].startswith('image/svg+xml')
    assert 'no photo yet' in answer.text


def test_the_schedule_is_made_as_a_job_and_fetched(client, kept):
    assert "Make the schedule" in client.get('/schedule').text
    answer = client.post('/schedule', data={'owner': "Nobody", 'sort': 'title', 'paper': 'letter', 'dated': 'yes'})
    token = answer.headers['location'].rpartition('/')[2]
    page = wait_for(client, token)
    assert "The schedule is ready" in client.get(page).text
    pdf = client.get(f'{page}.pdf')
    assert pdf.content.startswith(b'%PDF')
    assert pdf.headers['content-disposition'] == 'attachment; filename="schedule.pdf"'


def wait_for(client, token):
    jobs = client.app.state.desk.jobs
    jobs._known[token].future.result(timeout=60)
    return client.get(f'/jobs/{token}').headers['location']


@pytest.mark.parametrize('token', ['x', '..%2f..%2fcollection', 'A' * 30])
def test_no_such_schedule(client, token):
    assert client.get(f'/schedule/{token}').status_code in (400, 404)
    assert client.get(f'/schedule/{token}.pdf').status_code in (400, 404)


def test_no_schedule_leaves_a_piece_out(client, kept):
    (kept.folder / 'piece.json').write_text('{')
    page = client.get('/schedule').text
    assert "a schedule must not leave any out" in page
    assert "Make the schedule" not in page


def test_an_empty_collection_has_no_schedule(tmp_path):
    place = new_collection(tmp_path)
    with client_of(place.root) as client:
        assert "There is no piece in the collection yet." in client.get('/schedule').text
