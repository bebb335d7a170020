"""Adding, editing and removing pieces, and storing examinations."""

import os
import shutil
from datetime import datetime

import pytest

from grader.collection.examinations import examinations_of
from grader.collection.index import index_for_changing
from grader.collection.lock import locked
from grader.collection.piece_folder import read_piece
from grader.collection.store import NewPhoto, add_piece, edit_piece, remove_piece
from grader.collection.store_examination import store_examination
from grader.errors import RecordUnreadable, SettingsInvalid
from tests.support.collections import new_collection, rows, titles
from tests.support.sample_record import sample_record

NOW = datetime(2026, 3, 10)


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path, {'title': 'Amber swirl'})


@pytest.fixture
def folder(place):
    return next(place.pieces.iterdir())


def examination(folder, **changes):
    folder.mkdir(parents=True)
    (folder / 'record.json').write_text(sample_record(**changes).to_json(), encoding='utf-8')
    (folder / 'a.marked.jpg').write_bytes(b'picture')
    return folder


def store(place, folder, source, *photos):
    with locked(place, 'test'):
        return store_examination(place, folder, source, photos)


def test_photos_are_copied_each_under_a_name_of_its_own(place, tmp_path):
    for name in ('one', 'two'):
        (tmp_path / name).mkdir()
        (tmp_path / name / 'IMG.JPG').write_text(name)
    photos = [NewPhoto(tmp_path / 'one' / 'IMG.JPG'), NewPhoto(tmp_path / 'two' / 'IMG.JPG', with_scale=True)]
    with index_for_changing(place, 'test') as index:
        stored = add_piece(place, index, {'title': 'b'}, photos)
        stored = edit_piece(place, stored, {}, photos[:1])
    assert [(photo.file, photo.with_scale) for photo in stored.piece.photos] == [
        ('IMG.JPG', False),
        ('IMG-2.JPG', True),
        ('IMG-3.JPG', False),
    ]
    assert (stored.folder / 'photos' / 'IMG-2.JPG').read_text() == 'two'
    assert read_piece(stored.folder) == stored


def test_an_edit_keeps_what_was_there(place, folder):
    for k in range(3):
        with locked(place, 'test'):
            edit_piece(place, read_piece(folder), {'notes': f'note {k}'}, [])
    assert sorted(path.name for path in (folder / 'earlier').iterdir()) == [f'piece-000{k}.json' for k in (1, 2, 3)]
    assert 'note 0' in (folder / 'earlier' / 'piece-0002.json').read_text()


def test_an_edit_that_changes_nothing_writes_nothing(place, folder):
    with locked(place, 'test'):
        edit_piece(place, read_piece(folder), {'title': ' Amber swirl '}, [])
    assert not (folder / 'earlier').exists()


def test_faults_of_an_edit_are_all_told_and_nothing_is_changed(place, folder):
    with locked(place, 'test'), pytest.raises(SettingsInvalid, match=r'bought_when: .*; valued_when: '):
        edit_piece(place, read_piece(folder), {'bought_when': '1968-13', 'valued_when': '1968-14'}, [])
    assert read_piece(folder).piece.title == 'Amber swirl'


def test_what_is_removed_lies_in_the_trash_and_can_come_back(place, folder):
    with locked(place, 'test'):
        trash = remove_piece(place, folder, NOW)
    assert titles(place) == []
    assert trash == place.trash / '2026-03-10' / folder.name
    shutil.copytree(trash, folder)
    with locked(place, 'test'):
        again = remove_piece(place, folder, NOW)
    assert again.name == f'{folder.name} (2)'
    shutil.move(trash, folder)
    assert titles(place) == ['Amber swirl']


def test_examinations_are_counted_in_order(place, folder, tmp_path):
    first = store(place, folder, examination(tmp_path / 'x'))
    second = store(place, folder, examination(tmp_path / 'y', made_at='2026-03-10T10:09:00'))
    assert [first.folder.name, second.folder.name] == ['0001', '0002-2026-03-10']
    assert [one.folder for one in examinations_of(folder)] == [first.folder, second.folder]
    assert (second.folder / 'a.marked.jpg').read_bytes() == b'picture'
    assert rows(place)[0].n_examinations == 2


def test_photos_are_stored_with_an_examination_and_told_if_missing(place, folder, tmp_path):
    (tmp_path / 'parcel.jpg').write_bytes(b'parcel')
    done = store(place, folder, examination(tmp_path / 'x'), tmp_path / 'parcel.jpg')
    assert (done.folder / 'photos' / 'parcel.jpg').read_bytes() == b'parcel'
    assert (done.photos_missing, done.photos_unknown) == (('a.jpg',), ('parcel.jpg',))


def test_the_same_examination_is_stored_once(place, folder, tmp_path):
    store(place, folder, examination(tmp_path / 'x'))
    with pytest.raises(SettingsInvalid, match='stored already, as 0001'):
        store(place, folder, tmp_path / 'x')


def test_a_packed_examination_is_stored_beside_the_open_one_and_never_added_to(place, folder, tmp_path):
    store(place, folder, examination(tmp_path / 'x'))
    examination(tmp_path / 'bag' / 'data' / 'x')
    (tmp_path / 'bag' / 'bagit.txt').write_text('BagIt-Version: 1.0\n')
    done = store(place, folder, tmp_path / 'bag')
    assert done.folder.name == '0002'
    assert examinations_of(folder)[1].record_file() == done.folder / 'data' / 'x' / 'record.json'
    (tmp_path / 'p.jpg').write_bytes(b'')
    shutil.rmtree(done.folder)
    with pytest.raises(SettingsInvalid, match='the folder is sealed'):
        store(place, folder, tmp_path / 'bag', tmp_path / 'p.jpg')


def test_what_is_no_examination(place, folder, tmp_path):
    with pytest.raises(RecordUnreadable, match='there is no such folder'):
        store(place, folder, tmp_path / 'no')
    (tmp_path / 'x').mkdir()
    with pytest.raises(RecordUnreadable, match=r'there is no record\.json'):
        store(place, folder, tmp_path / 'x')
    (tmp_path / 'x' / 'record.json').write_text('{"record_version": 9}')
    with pytest.raises(RecordUnreadable, match='of version 9'):
        store(place, folder, tmp_path / 'x')
    with pytest.raises(SettingsInvalid, match='the collection itself lies in this folder'):
        store(place, folder, tmp_path)


@pytest.mark.parametrize('kind', ['link', 'pipe'])
def test_links_and_pipes_are_not_followed(place, folder, tmp_path, kind):
    source = examination(tmp_path / 'x')
    if kind == 'link':
        (source / 'odd').symlink_to('/etc/passwd')
    else:
        os.mkfifo(source / 'odd')
    with pytest.raises(SettingsInvalid, match='only plain files are stored'):
        store(place, folder, source)
    assert examinations_of(folder) == ()
    assert list(place.work.iterdir()) == []
