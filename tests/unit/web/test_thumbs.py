"""Small pictures: what they show, that they are kept, and what is made of photos that are none."""

import os
import shutil
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from grader.collection.index import ShelfRow
from grader.collection.shelf_rows import NO_EXAMINATIONS
from grader.web.pictures_of_piece import PieceInPhoto, main_picture, own_photo
from grader.web.thumbs import NoPicture, PictureWish, make_picture, small_picture, square_round
from grader.web.wall_constants import MAX_CACHED_IN_FOLDER
from tests.support.collections import new_collection

ROW = ShelfRow('piece', 'abcdefgh', '', '', '', '', '', 'a.jpg', NO_EXAMINATIONS)
SIDES = st.integers(1, 4000)


def photo(path, size=(1200, 800), orientation=1, disc=None):
    picture = Image.new('RGB', size, (220, 220, 220))
    if disc is not None:
        left, top, right, bottom = disc
        picture.paste((20, 60, 120), (left, top, right, bottom))
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture.save(path, exif=exif)
    return path


def opened(data):
    return Image.open(BytesIO(data))


@given(width=SIDES, height=SIDES, data=st.data())
def test_the_square_lies_within_the_photo_and_holds_the_piece_where_it_can(width, height, data):
    left = data.draw(st.floats(0, width - 1))
    top = data.draw(st.floats(0, height - 1))
    right, bottom = data.draw(st.floats(left, width)), data.draw(st.floats(top, height))
    for box in (None, (left, top, right, bottom)):
        x0, y0, x1, y1 = square_round(box, (width, height))
        assert 0 <= x0 < x1 <= width
        assert 0 <= y0 < y1 <= height
        assert x1 - x0 == y1 - y0
    if max(right - left, bottom - top) * 1.12 <= min(width, height):
        assert x0 <= left + 1
        assert right - 1 <= x1
        assert y0 <= top + 1
        assert bottom - 1 <= y1


def test_the_piece_fills_the_square_also_when_the_photo_is_decoded_smaller(tmp_path):
    path = photo(tmp_path / 'a.jpg', (4000, 3000), disc=(1000, 500, 3000, 2500))
    with opened(make_picture(PictureWish(PieceInPhoto(path, (1000, 500, 3000, 2500)), 440, is_square=True))) as made:
        assert made.size == (440, 440)
        dark = np.asarray(made.convert('L')) < 128
    assert np.flatnonzero(dark.any(axis=0))[[0, -1]] == pytest.approx([440 * 6 / 112, 440 * 106 / 112], abs=3)


@pytest.mark.parametrize('orientation', [1, 3, 6, 8])
def test_pictures_are_upright(tmp_path, orientation):
    path = photo(tmp_path / 'a.jpg', (1600, 800), orientation)
    with opened(make_picture(PictureWish(PieceInPhoto(path), 400))) as made:
        assert made.size == ((400, 200) if orientation < 5 else (200, 400))
        assert dict(made.getexif()) == {}


@pytest.mark.parametrize('name', ['a.png', 'a.webp', 'a.tif', 'a.jpg'])
def test_formats(tmp_path, name):
    assert make_picture(PictureWish(PieceInPhoto(photo(tmp_path / name)), 100))[:2] == b'\xff\xd8'


@pytest.mark.parametrize(
    'data', [b'', b'x', b'\xff\xd8\xff', b'<svg/>', b'GIF89a' + b'\0' * 40, b'\x89PNG\r\n\x1a\n' + b'\0' * 99]
)
def test_what_is_no_photo_is_told(tmp_path, data):
    (tmp_path / 'a.jpg').write_bytes(data)
    assert make_picture(PictureWish(PieceInPhoto(tmp_path / 'a.jpg'), 100)) == NoPicture("The photo cannot be read.")


def test_a_missing_photo_is_told(tmp_path):
    assert make_picture(PictureWish(PieceInPhoto(tmp_path / 'a.jpg'), 100)) == NoPicture("The photo is missing.")


def test_too_many_pixels_are_not_decoded(tmp_path, monkeypatch):
    monkeypatch.setattr('grader.web.thumbs.MAX_PHOTO_PIXELS', 1000)
    path = photo(tmp_path / 'a.jpg')
    assert make_picture(PictureWish(PieceInPhoto(path), 100)) == NoPicture("The photo cannot be read.")


def test_pictures_are_kept_until_the_photo_changes(tmp_path):
    place = new_collection(tmp_path)
    wish = PictureWish(PieceInPhoto(photo(tmp_path / 'a.jpg')), 100)
    first = small_picture(place, wish)
    kept = list((place.own / 'cache').rglob('*.jpg'))
    assert [path.read_bytes() for path in kept] == [first]
    kept[0].write_bytes(b'from the cache')
    assert small_picture(place, wish) == b'from the cache'
    photo(tmp_path / 'a.jpg', (500, 900))
    assert small_picture(place, wish)[:2] == b'\xff\xd8'
    shutil.rmtree(place.own / 'cache')
    assert small_picture(place, wish)[:2] == b'\xff\xd8'


def test_a_cache_that_cannot_be_written_does_no_harm(tmp_path):
    place = new_collection(tmp_path)
    (place.own / 'cache').write_text('in the way')
    assert small_picture(place, PictureWish(PieceInPhoto(photo(tmp_path / 'a.jpg')), 100))[:2] == b'\xff\xd8'


def test_the_cache_makes_room(tmp_path):
    place = new_collection(tmp_path)
    wish = PictureWish(PieceInPhoto(photo(tmp_path / 'a.jpg')), 100)
    folder = place.own / 'cache' / 'pictures' / wish.key[:2]
    folder.mkdir(parents=True)
    for k in range(MAX_CACHED_IN_FOLDER):
        (folder / f'{k}.jpg').write_bytes(b'x')
        os.utime(folder / f'{k}.jpg', (k, k))
    small_picture(place, wish)
    left = {path.name for path in folder.iterdir()}
    assert len(left) == MAX_CACHED_IN_FOLDER // 2 + 1
    assert {f'{MAX_CACHED_IN_FOLDER - 1}.jpg', f'{wish.key}.jpg'} <= left


@pytest.mark.parametrize('name', ['', '.', '..', '../piece.json', '/etc/passwd', 'a\0b', 'a\\b', 'missing.jpg'])
def test_no_name_leads_out_of_the_piece(tmp_path, name):
    (tmp_path / 'piece' / 'photos').mkdir(parents=True)
    (tmp_path / 'piece' / 'piece.json').write_text('{}')
    assert own_photo(tmp_path / 'piece', name) is None


def test_no_link_leads_out_of_the_piece(tmp_path):
    folder = tmp_path / 'piece'
    (folder / 'photos').mkdir(parents=True)
    photo(tmp_path / 'secret.jpg')
    (folder / 'photos' / 'a.jpg').symlink_to(tmp_path / 'secret.jpg')
    assert main_picture(ROW, folder) is None
    (folder / 'photos' / 'a.jpg').unlink()
    photo(folder / 'photos' / 'a.jpg')
    assert main_picture(ROW, folder) == PieceInPhoto(folder / 'photos' / 'a.jpg')


def test_a_large_jpeg_is_decoded_in_part_and_a_large_png_is_not(tmp_path, monkeypatch):
    monkeypatch.setattr('grader.web.thumbs.MAX_DECODED_PIXELS', 500_000)
    wishes = [PictureWish(PieceInPhoto(photo(tmp_path / name, (1600, 1200))), 100) for name in ('a.jpg', 'a.png')]
    assert make_picture(wishes[0])[:2] == b'\xff\xd8'
    assert make_picture(wishes[1]) == NoPicture("The photo cannot be read.")
