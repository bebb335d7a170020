"""The owner's photos of a piece: taken in, described, put in order, taken out, and never lost."""

from io import BytesIO

import pytest
from PIL import Image

from grader.collection.piece_folder import read_piece
from tests.support.collections import add, new_collection
from tests.support.wall_pieces import HOSTILE, client_of, hidden


def photo(level=90, kind='JPEG', size=(600, 400)):
    data = BytesIO()
    Image.new('RGB', size, (level, 90, 120)).save(data, kind)
    return data.getvalue()


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path)


@pytest.fixture
def stored(place):
    return add(place, {'title': "Amber swirl"})


@pytest.fixture
def client(place):
    with client_of(place.root) as made:
        yield made


def address(stored):
    return f'/pieces/{stored.piece.id}/photos'


def send(client, stored, *files):
    return client.post(address(stored), files=[('photos', (name, data, 'image/jpeg')) for name, data in files])


def photos(stored):
    return read_piece(stored.folder).piece.photos


def files_of(stored):
    return sorted(path.name for path in (stored.folder / 'photos').glob('*'))


def test_photos_are_taken_in_and_the_first_is_on_the_wall(client, stored):
    assert send(client, stored, ('one.jpg', photo()), ('two.png', photo(10, 'PNG'))).status_code == 303
    assert [one.file for one in photos(stored)] == files_of(stored) == ['one.jpg', 'two.png']
    page = client.get(f'/pieces/{stored.piece.id}').text
    assert page.count('/small"') == 2
    assert client.get(f'/pieces/{stored.piece.id}/picture').headers['content-type'] == 'image/jpeg'
    with Image.open(BytesIO(client.get(f'/pieces/{stored.piece.id}/pictures/2').content)) as picture:
        assert picture.size == (600, 400)
    assert client.get(f'/pieces/{stored.piece.id}/pictures/3').status_code == 404
    assert client.get(f'/pieces/{stored.piece.id}/pictures/0/small').status_code == 404


def test_names_are_made_portable_and_used_once(client, stored):
    send(client, stored, ('../../a:b?.jpg', photo()), ('one.jpg', photo(1)), ('ONE.jpg', photo(2)))
    send(client, stored, ('one.jpg', photo(3)))
    names = files_of(stored)
    assert len(names) == 4
    assert len({name.casefold() for name in names}) == 4
    assert not any(sign in name for name in names for sign in '/\\:?')
    assert sorted(one.file for one in photos(stored)) == names


@pytest.mark.parametrize('data', [b'', b'nothing', photo()[:900], b'<svg xmlns="http://www.w3.org/2000/svg"/>'])
def test_a_file_that_is_no_photo_is_told_and_not_kept(client, place, stored, data):
    answer = send(client, stored, ('good.jpg', photo()), ('bad.jpg', data))
    assert answer.status_code == 422
    assert "bad.jpg" in answer.text
    assert files_of(stored) == ['good.jpg']
    assert not [path for path in (place.own / 'incoming').rglob('*') if path.is_file()]


def test_nothing_chosen_is_told(client, stored):
    assert client.post(address(stored), files=[('photos', ('', b''))]).status_code == 422
    assert client.post(address(stored), data={'x': 'y'}).status_code == 422


def test_no_photo_for_no_piece(client, stored):
    answer = client.post('/pieces/zzzzzzzz/photos', files=[('photos', ('a.jpg', photo()))])
    assert answer.status_code == 404


def kept(client, stored, **fields):
    page = client.get(address(stored)).text
    sent = {f'file-{k}': one.file for k, one in enumerate(photos(stored), start=1)}
    return client.post(f'{address(stored)}/keep', data={'was': hidden(page, 'was'), **sent, **fields})


def test_photos_are_described_and_put_in_order(client, stored):
    send(client, stored, ('one.jpg', photo()), ('two.jpg', photo(10)))
    answer = kept(
        client, stored, **{'shows-1': "whole\r\npiece", 'scale-1': 'yes', 'shows-2': "slice", 'first': 'two.jpg'}
    )
    assert answer.status_code == 303
    assert [(one.file, one.shows, one.with_scale) for one in photos(stored)] == [
        ('two.jpg', "slice", False), ('one.jpg', "whole\npiece", True),
    ]  # fmt: skip


@pytest.mark.parametrize('text', HOSTILE)
def test_hostile_descriptions_are_shown_as_text(client, stored, text):
    send(client, stored, ('one.jpg', photo()))
    assert kept(client, stored, **{'shows-1': text}).status_code == 303
    assert photos(stored)[0].shows == text.strip()
    for page in (client.get(address(stored)).text, client.get(f'/pieces/{stored.piece.id}').text):
        assert not any(bad in page for bad in ('<script>alert', '<img src=x', '<b>out'))


def test_a_photo_that_is_taken_out_lies_in_the_trash(client, place, stored):
    send(client, stored, ('one.jpg', photo()), ('two.jpg', photo(10)))
    assert kept(client, stored, **{'out-1': 'yes'}).status_code == 303
    assert [one.file for one in photos(stored)] == files_of(stored) == ['two.jpg']
    assert [path.read_bytes() for path in place.trash.rglob('one.jpg')] == [photo()]
    send(client, stored, ('one.jpg', photo(20)))
    assert kept(client, stored, **{'out-1': 'yes', 'out-2': 'yes'}).status_code == 303
    assert len(list(place.trash.rglob('*.jpg'))) == 3
    assert photos(stored) == ()


def test_two_windows_lose_nothing(client, stored):
    send(client, stored, ('one.jpg', photo()))
    was = hidden(client.get(address(stored)).text, 'was')
    send(client, stored, ('two.jpg', photo(10)))
    answer = client.post(f'{address(stored)}/keep', data={'was': was, 'file-1': 'one.jpg', 'shows-1': "typed words"})
    assert answer.status_code == 409
    assert "typed words" in answer.text
    assert "two.jpg" in answer.text
    assert len(photos(stored)) == 2


@pytest.mark.parametrize('fields', [{'file-1': 'two.jpg'}, {'file-1': '../piece.json'}, {'shows-1': 'x\x07'}])
def test_forms_that_make_no_sense_change_nothing(client, stored, fields):
    send(client, stored, ('one.jpg', photo()))
    before = photos(stored)
    assert kept(client, stored, **fields).status_code == 422
    assert photos(stored) == before


def test_photos_that_wait_to_be_examined_are_told(client, stored):
    begun = client.post(f'/pieces/{stored.piece.id}/drafts/new').headers['location']
    assert "to be examined. <a" not in client.get(f'/pieces/{stored.piece.id}').text
    client.post(f'{begun}/photos', files=[('photos', ('a.jpg', photo()))], headers={'Accept': 'application/json'})
    page = client.get(f'/pieces/{stored.piece.id}').text
    assert "1 photo waits to be examined." in page
    assert f'href="{begun}"' in page
