"""The wall: what it says, how it searches, what it does with what cannot be read."""

import csv
import io
import os

import pytest

from grader.collection.place import COLLECTION_FILE
from tests.support.collections import add, new_collection, rows
from tests.support.examined_pieces import import_pieces, put_examination, put_review
from tests.support.reviewed import round_record
from tests.support.wall_pieces import HOSTILE, client_of

RECORD = round_record(made_at='2025-03-10T10:09:00')


@pytest.fixture
def place(tmp_path):
    return new_collection(
        tmp_path,
        {'title': "Amber swirl", 'maker': "Hütte Müllerstal", 'inventory_number': '2'},
        {'title': "Blue dahlia", 'inventory_number': '1', 'measurements': "some 78 mm"},
    )


@pytest.fixture
def client(place):
    with client_of(place.root) as made:
        yield made


def folder_of(place, title):
    return place.pieces / next(row.folder for row in rows(place) if row.title == title)


def test_a_folder_without_a_collection_offers_to_make_one(tmp_path):
    with client_of(tmp_path / 'glass') as client:
        assert "There is no collection yet." in client.get('/').text
        answer = client.post('/begin')
        assert (answer.status_code, answer.headers['location']) == (303, '/')
        assert (tmp_path / 'glass' / COLLECTION_FILE).exists()
        assert "The shelf is still empty" in client.get('/').text
        assert client.post('/begin').status_code == 303


def test_a_folder_that_holds_other_things_is_left_alone(tmp_path):
    (tmp_path / 'holiday.jpg').write_bytes(b'x')
    with client_of(tmp_path) as client:
        answer = client.post('/begin')
        assert answer.status_code == 507
        assert "something else lies there" in answer.text
    assert [path.name for path in tmp_path.iterdir()] == ['holiday.jpg']


def test_each_piece_is_told(place, client):
    put_examination(folder_of(place, "Amber swirl"), '0001', RECORD)
    text = client.get('/').text
    assert "2 pieces" in text
    assert text.index("Blue dahlia") < text.index("Amber swirl")
    assert f"<b>{RECORD.grade.score:.0f}</b> {RECORD.grade.band}" in text
    assert "71.03 ± 0.62 mm" in text
    assert "Checked 10 Mar 2025" in text
    assert "some 78 mm" in text
    assert "No examination yet" in text
    assert 'loading="lazy"' in text


def test_a_review_changes_the_score_on_the_wall(place, client):
    record_file = put_examination(folder_of(place, "Amber swirl"), '0001', RECORD)
    assert "reviewed" not in client.get('/').text
    review = put_review(record_file, RECORD, 1, 2)
    assert f"<b>{review.result.grade.score:.0f}</b> {review.result.grade.band}" in client.get('/').text
    assert ", reviewed" in client.get('/').text


def test_search_is_posted_and_folds_accents(client):
    text = client.post('/search', data={'words': 'muller'}).text
    assert "1 of 2 pieces" in text
    assert "Amber swirl" in text
    assert "Blue dahlia" not in text
    assert 'value="muller"' in text
    assert client.get('/search').status_code == 405


def test_a_search_without_hits_says_so(client):
    text = client.post('/search', data={'words': 'nothing like this'}).text
    assert "No piece has these words" in text
    assert "None of 2 pieces" in text


@pytest.mark.parametrize('words', HOSTILE)
def test_searched_words_come_back_escaped(client, words):
    answer = client.post('/search', data={'words': words})
    assert answer.status_code == 200
    assert '<script>alert' not in answer.text
    assert '<img src=x' not in answer.text
    assert '<b>out' not in answer.text


@pytest.mark.parametrize(
    ('order', 'first'), [('inventory', "Blue"), ('title', "Amber"), ('score', "Amber"), ('checked', "Blue"),
                         ('; DROP TABLE pieces', "Blue"), ('', "Blue")],
)  # fmt: skip
def test_orders(place, client, order, first):
    put_examination(folder_of(place, "Amber swirl"), '0001', RECORD)
    text = client.post('/search', data={'order': order}).text
    other = "Amber" if first == "Blue" else "Blue"
    assert text.index(f'{first} ') < text.index(f'{other} ')


def test_many_pieces_come_in_parts(place, client):
    import_pieces(place, 250)
    first = client.get('/').text
    assert "252 pieces" in first
    assert first.count('<li><a href="/pieces/') == 120
    seen = set()
    for start, n in ((0, 120), (120, 120), (240, 12)):
        part = client.post('/search', data={'start': start}, headers={'X-Part': '1'}).text
        assert '<html' not in part
        found = {line.split('"')[1] for line in part.splitlines() if line.startswith('<li>')}
        assert len(found) == n
        assert ('id="more"' in part) == (start < 240)
        assert not found & seen
        seen |= found
    assert "These were all." in client.post('/search', data={'start': 9999}).text
    assert client.post('/search', data={'start': '-1'}).text.count('<li><a') == 120


@pytest.mark.parametrize('text', HOSTILE)
def test_hostile_titles_are_shown_as_text(place, client, text):
    add(place, {'title': text, 'maker': text, 'inventory_number': '0'})
    page = client.get('/').text
    assert '<script>alert' not in page
    assert '<img src=x' not in page
    assert '<b>out' not in page
    assert '{{' not in page or '{{ 7 * 7 }}' in page


def test_unreadable_folders_are_told_and_hide_nothing(place, client):
    (folder_of(place, "Blue dahlia") / 'piece.json').write_text('{')
    (place.pieces / 'holiday pictures').mkdir()
    os.mkdir(os.fsencode(place.pieces) + b'/odd\xff')
    answer = client.get('/')
    assert answer.status_code == 200
    assert "3 folders of the collection cannot be read" in answer.text
    assert "this is not JSON text" in answer.text
    assert "holiday pictures/piece.json: it cannot be opened" in answer.text
    assert "Amber swirl" in answer.text


def test_a_broken_examination_is_told_on_its_card(place, client):
    folder = folder_of(place, "Amber swirl")
    put_examination(folder, '0001', RECORD).write_text('{')
    text = client.get('/').text
    assert "1 examination has a fault" in text
    assert "No examination that can be read" in text


def test_a_collection_of_another_version_is_told(place, client):
    (place.root / COLLECTION_FILE).write_text('{"collection_version": 99}')
    answer = client.get('/')
    assert answer.status_code == 422
    assert "version 99" in answer.text


def test_all_pieces_as_a_table(place, client):
    add(place, {'title': '=1+1', 'maker': 'Écarlate'})
    answer = client.get('/pieces.csv')
    assert answer.headers['content-disposition'] == 'attachment; filename="pieces.csv"'
    table = list(csv.DictReader(io.StringIO(answer.content.decode('utf-8-sig'), newline='')))
    assert {row['title'] for row in table} == {"Amber swirl", "Blue dahlia", "'=1+1"}
    (folder_of(place, "Blue dahlia") / 'piece.json').write_text('{')
    assert client.get('/pieces.csv').status_code == 422


def test_a_folder_that_cannot_be_written_is_still_shown(place, client):
    os.chmod(place.own, 0o500)
    try:
        assert "Amber swirl" in client.get('/').text
    finally:
        os.chmod(place.own, 0o700)
