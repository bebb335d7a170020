"""Comparing in the page: the choice, the work, and a page that claims nothing beyond comparison.json."""

import json
import re
import shutil

import pytest

from grader.collection.comparisons import comparisons_of
from grader.collection.lock import locked
from grader.collection.store_comparison import store_comparison
from grader.collection.store_examination import store_examination
from grader.comparison import read_comparison
from grader.errors import PieceNotFound
from grader.progress import SilentProgress
from grader.review.acts import Confirm, Reject
from grader.web.compare_choice import choices_of
from grader.web.compare_job import compare_examinations
from grader.web.comparison_view import download_file, picture_file
from grader.web.desk import Desk
from tests.support.collections import add, new_collection
from tests.support.compared_sides import examined
from tests.support.example_photos import demo_photos
from tests.support.kept_piece import examination_folder, kept_piece, say
from tests.support.page_client import PageClient
from tests.support.sample_comparison import comparison_folder, sample_comparison

EVIL = '<script>alert(1)</script>&"'


@pytest.fixture
def kept(tmp_path):
    return kept_piece(tmp_path)


@pytest.fixture
def client(kept, tmp_path):
    with PageClient(Desk(kept.place.root, key=tmp_path / 'key.pem')) as made:
        yield made


def text_of(answer):
    return ' '.join(re.sub(r'<[^>]+>', ' ', answer.text).split())


class Recorder(SilentProgress):
    """Progress that notes its steps."""

    def __init__(self):
        self.names, self.begun = [], []

    def begin(self, what):
        self.begun.append(what)

    def step(self, name):
        self.names.append(name)


def test_the_page_says_what_the_comparison_says(client, kept):
    answer = client.get(f'{kept.address}/comparisons/1')
    assert answer.status_code == 200
    text = text_of(answer)
    comparison = read_comparison(comparisons_of(kept.folder)[0].file)
    for sentence in (*comparison.summary, comparison.changes[0].earlier.words):
        assert sentence in text
    assert "Could it have been seen in the earlier photos?" in text
    assert "Is it the same piece?" in text
    assert f'href="{kept.address}/examinations/1"' in answer.text
    assert f'href="{kept.address}/examinations/2"' in answer.text


def test_no_script_or_style_stands_in_the_page(client, kept):
    text = client.get(f'{kept.address}/comparisons/1').text
    assert re.findall(r'<script(?![^>]*\bsrc=)', text) == []
    assert ' style=' not in text and '<style' not in text
    assert 'data:image' not in text


def test_each_picture_and_script_of_the_page_is_there(client, kept):
    text = client.get(f'{kept.address}/comparisons/1').text
    images = re.findall(r'<img[^>]* src="(/pieces/[^"]+)"', text)
    assert len(images) == 6
    for address in images:
        answer = client.get(address)
        assert (answer.status_code, answer.headers['content-type']) == (200, 'image/jpeg')
        assert answer.content.startswith(b'\xff\xd8')
    assert client.get('/compare-viewer/compare_viewer.js').headers['content-type'].startswith('text/javascript')
    assert client.get('/compare-viewer/compare_viewer.css').status_code == 200
    assert client.get('/compare-viewer/compare_page.py').status_code == 404


@pytest.mark.parametrize('name', ['pictures.json', '..%2fcomparison.json', 'other.jpg', '%2e%2e', 'a' * 300 + '.jpg'])
def test_nothing_but_its_pictures_is_given(client, kept, name):
    assert client.get(f'{kept.address}/comparisons/1/pictures/{name}').status_code in (400, 404)
    with pytest.raises(PieceNotFound, match='no such picture'):
        picture_file(kept.piece, 1, name)


def test_a_picture_that_is_a_link_is_not_followed(client, kept, tmp_path):
    (tmp_path / 'secret.jpg').write_bytes(b'secret')
    picture = comparisons_of(kept.folder)[0].folder / 'pictures' / 'later.jpg'
    picture.unlink()
    picture.symlink_to(tmp_path / 'secret.jpg')
    assert client.get(f'{kept.address}/comparisons/1/pictures/later.jpg').status_code == 404
    assert "The pictures of this comparison are not stored with it" in text_of(
        client.get(f'{kept.address}/comparisons/1')
    )


@pytest.mark.parametrize('how', ['gone', 'of another one', 'damaged'])
def test_without_its_pictures_no_change_is_lost(client, kept, how):
    pictures = comparisons_of(kept.folder)[0].folder / 'pictures'
    if how == 'gone':
        shutil.rmtree(pictures)
    elif how == 'damaged':
        (pictures / 'pictures.json').write_text('{')
    else:
        text = (pictures / 'pictures.json').read_text()
        (pictures / 'pictures.json').write_text(re.sub('"comparison_sha256": "[0-9a-f]{64}"',
                                                       f'"comparison_sha256": "{"0" * 64}"', text))  # fmt: skip
    text = text_of(client.get(f'{kept.address}/comparisons/1'))
    assert "The pictures of this comparison are not stored with it" in text
    assert "new: scratch, 5.1 mm long" in text
    assert "No mark was found" not in text and "Not in view" not in text


def test_of_two_pieces_no_change_is_told(client, kept, tmp_path):
    comparison = read_comparison(comparisons_of(kept.folder)[0].file)
    words = "The sides show two pieces (probability of one: 3 %)."
    same = comparison.same_piece.model_copy(update={'verdict': 'another piece', 'probability': 0.03, 'words': words})
    other = comparison.model_copy(update={'same_piece': same, 'changes': (), 'summary': (words,), 'shared_view': None})
    with locked(kept.place, 'test'):
        store_comparison(kept.place, kept.folder, comparison_folder(tmp_path / 'other', other))
    say(kept, 2, Reject(mark=1))
    text = text_of(client.get(f'{kept.address}/comparisons/2'))
    assert "Two different pieces" in text and "Two pieces: no change is told." in text
    assert "new: scratch" not in text and "A review says otherwise" not in text


def test_names_from_files_are_escaped(client, kept, tmp_path):
    comparison = read_comparison(comparisons_of(kept.folder)[0].file)
    change = comparison.changes[0].model_copy(update={'place_words': EVIL, 'size_words': EVIL})
    evil = comparison.model_copy(update={'changes': (change,), 'summary': (EVIL,)})
    with locked(kept.place, 'test'):
        store_comparison(kept.place, kept.folder, comparison_folder(tmp_path / 'evil', evil))
    text = client.get(f'{kept.address}/comparisons/2').text
    assert '<script>alert' not in text
    assert '&lt;script&gt;alert(1)' in text


def test_what_she_rejected_is_not_contradicted_without_a_word(client, kept):
    say(kept, 2, Reject(mark=1), reason="only a reflection")
    text = text_of(client.get(f'{kept.address}/comparisons/1'))
    assert "A review says otherwise. Number 1, told as new damage here, was rejected" in text
    assert (
        "AB rejected mark 1 of the later examination, which lies here: there is no such mark (only a reflection)"
        in text
    )


def test_what_she_confirmed_stands_beside_the_mark(client, kept):
    say(kept, 2, Confirm(mark=1))
    text = text_of(client.get(f'{kept.address}/comparisons/1'))
    assert "AB confirmed mark 1 of the later examination, which lies here, as a scratch" in text
    assert "A review says otherwise" not in text


def test_a_review_that_cannot_be_read_is_told(client, kept):
    (examination_folder(kept, 2) / 'review.json').write_text('{')
    answer = client.get(f'{kept.address}/comparisons/1')
    assert answer.status_code == 200
    assert "The review of examination 2 could not be looked at." in text_of(answer)


def test_a_damaged_or_missing_comparison_is_told(client, kept):
    assert client.get(f'{kept.address}/comparisons/7').status_code == 404
    comparisons_of(kept.folder)[0].file.write_text('{"comparison_version": 9}')
    answer = client.get(f'{kept.address}/comparisons/1')
    assert answer.status_code == 422
    assert "of version 9" in text_of(answer)
    comparisons_of(kept.folder)[0].file.unlink()
    assert client.get(f'{kept.address}/comparisons/1').status_code == 422


def test_sides_that_are_no_examination_are_told(client, kept, tmp_path):
    with locked(kept.place, 'test'):
        store_comparison(kept.place, kept.folder, comparison_folder(tmp_path / 'x', sample_comparison()))
    assert "Earlier: photos that are no examination of this piece" in text_of(
        client.get(f'{kept.address}/comparisons/2')
    )


def test_files_are_saved_under_portable_names(client, kept):
    answer = client.get(f'{kept.address}/comparisons/1/files/comparison.html')
    assert answer.status_code == 200
    assert answer.headers['content-disposition'] == (
        "attachment; filename=\"Amber swirl, comparison 1.html\"; filename*=UTF-8''Amber%20swirl%2C%20comparison%201.html"
    )
    assert client.get(f'{kept.address}/comparisons/1/files/pictures').status_code == 404
    with pytest.raises(PieceNotFound, match='no such file'):
        download_file(kept.piece, 1, '../../piece.json')


def test_the_last_two_examinations_are_proposed(client, kept):
    choices = choices_of(kept.folder)
    assert (choices.before, choices.after) == (1, 2)
    text = client.get(f'{kept.address}/compare').text
    assert len(re.findall(r'<option value="[12]"', text)) == 4
    assert re.search(r'<select id="before".*?value="1" selected', text, re.DOTALL)


def test_one_examination_is_not_enough(tmp_path):
    place = new_collection(tmp_path)
    piece = add(place, {'title': 'a'})
    with PageClient(Desk(place.root)) as client:
        assert "there is none so far" in text_of(client.get(f'/pieces/{piece.piece.id}/compare'))


@pytest.mark.parametrize(
    ('before', 'after', 'stated', 'words', 'status'),
    [
        ('1', '1', '', "Both are the same examination.", 422),
        ('2', '1', '', "was made after the other", 422),
        ('1', '9', '', "no examination of this piece", 404),
        ('../1', '2', '', "no examination of this piece", 404),
        ('', '', '', "no examination of this piece", 404),
        ('1', '2', 'as big as an egg', "\"as big as an egg\" is not a length with its unit.", 422),
        ('1', '2', '9 m', "is not a length", 422),
    ],
)
def test_what_cannot_be_compared_is_told_and_the_form_kept(client, kept, before, after, stated, words, status):
    answer = client.post(f'{kept.address}/compare', data={'before': before, 'after': after, 'stated': [stated, '']})
    assert answer.status_code == status
    text = text_of(answer).replace('&#34;', '"')
    assert words in text and "--stated-size" not in text
    if stated:
        assert f'value="{stated}"' in answer.text
    assert len(comparisons_of(kept.folder)) == 1


def test_a_comparison_is_begun_as_a_job(client, kept):
    answer = client.post(f'{kept.address}/compare', data={'before': '1', 'after': '2'})
    assert answer.status_code == 303
    assert answer.headers['location'].startswith('/jobs/')


@pytest.fixture(scope='module')
def real(tmp_path_factory):
    """A collection with the shipped photos of one piece in two lights, examined."""
    folder = tmp_path_factory.mktemp('real')
    place = new_collection(folder)
    piece = add(place, {'title': 'Amber swirl'})
    for number, photo in enumerate(demo_photos()):
        source = folder / f'e{number}'
        source.mkdir()
        (source / 'record.json').write_text(examined(number).record.to_json(), encoding='utf-8')
        with locked(place, 'test'):
            store_examination(place, piece.folder, source, [photo])
    return place, piece


def test_the_work_compares_stores_once_and_leads_to_the_page(real):
    place, piece = real
    progress = Recorder()
    arguments = (place.root, piece.folder, piece.piece.id, 1, 2, ('75 mm',))
    address = compare_examinations(progress, *arguments)
    assert address == f'/pieces/{piece.piece.id}/comparisons/1'
    assert {photo.name for photo in demo_photos()} <= set(progress.names)
    assert progress.begun[-2:] == ["looking at the place of each mark on both sides", "drawing the pictures"]
    assert compare_examinations(Recorder(), *arguments) == address, 'the very same comparison is stored once'
    (stored,) = comparisons_of(piece.folder)
    told = json.loads(stored.file.read_text(encoding='utf-8'))
    assert [one['stated'] for one in told['stated_sizes']] == ['75 mm']
    with PageClient(Desk(place.root)) as client:
        text = text_of(client.get(address))
        assert "The same piece" in text
        assert "Earlier: examination 1" in text and "Later: examination 2" in text
