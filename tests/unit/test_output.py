"""Results are there whole or not at all, and nothing of the user's is replaced."""

import os
from pathlib import Path

import pytest

from grader.errors import OutputNotWritable
from grader.output import new_file, new_folder


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob('*'))


def test_folder_appears_at_the_end(tmp_path):
    out = tmp_path / 'deep' / 'out'
    with new_folder(out) as work:
        (work / 'a.txt').write_text('a')
        assert not out.exists()
    assert names_in(out) == ['a.txt']
    assert names_in(out.parent) == ['a.txt', 'out']


@pytest.mark.parametrize('fault', [RuntimeError, KeyboardInterrupt])
def test_nothing_is_left_after_a_fault(tmp_path, fault):
    with pytest.raises(fault), new_folder(tmp_path / 'out') as work:
        (work / 'a.txt').write_text('a')
        raise fault
    assert names_in(tmp_path) == []


def test_full_disk_becomes_words(tmp_path):
    with pytest.raises(OutputNotWritable, match=r'out: it cannot be written \(No space left on device\)\. Check that'):
        with new_folder(tmp_path / 'out'):
            raise OSError(28, os.strerror(28))
    assert names_in(tmp_path) == []


def test_existing_folder_needs_force(tmp_path):
    with pytest.raises(OutputNotWritable, match=r'the folder exists already\. Give another name, or add --force'):
        with new_folder(tmp_path):
            pytest.fail('the block must not run')


def test_force_replaces_same_names_and_keeps_the_rest(tmp_path):
    out = tmp_path / 'out'
    out.mkdir()
    (out / 'record.json').write_text('old')
    (out / 'letter.txt').write_text('mine')
    with new_folder(out, force=True) as work:
        (work / 'record.json').write_text('new')
    assert {path.name: path.read_text() for path in out.iterdir()} == {'record.json': 'new', 'letter.txt': 'mine'}
    assert names_in(tmp_path) == ['letter.txt', 'out', 'record.json']


def test_a_photo_is_never_replaced(tmp_path):
    photo = tmp_path / 'a.marked.jpg'
    photo.write_text('photo')
    with pytest.raises(OutputNotWritable, match='this would replace a photo'):
        with new_folder(tmp_path, force=True, keep=[photo]) as work:
            (work / 'b.txt').write_text('b')
            (work / 'a.marked.jpg').write_text('result')
    assert photo.read_text() == 'photo'
    assert names_in(tmp_path) == ['a.marked.jpg']


def test_file_in_place_of_the_folder(tmp_path):
    (tmp_path / 'out').write_text('x')
    with pytest.raises(OutputNotWritable, match='there is a file of this name already'):
        with new_folder(tmp_path / 'out', force=True):
            pytest.fail('the block must not run')


def test_file_is_written_whole(tmp_path):
    path = tmp_path / 'deep' / 'a.json'
    with new_file(path) as work:
        work.write_text('{}')
        assert not path.exists()
    assert names_in(tmp_path) == ['a.json', 'deep']
    with pytest.raises(ZeroDivisionError), new_file(tmp_path / 'b.json') as work:
        work.write_text('{')
        raise ZeroDivisionError
    assert names_in(tmp_path) == ['a.json', 'deep']


def test_existing_file_needs_force_and_a_photo_stays(tmp_path):
    path = tmp_path / 'a.json'
    path.write_text('old')
    with pytest.raises(OutputNotWritable, match='the file exists already'), new_file(path):
        pytest.fail('the block must not run')
    with new_file(path, force=True) as work:
        work.write_text('new')
    assert path.read_text() == 'new'
    with pytest.raises(OutputNotWritable, match='Photos are never replaced'), new_file(path, force=True, keep=[path]):
        pytest.fail('the block must not run')
    with pytest.raises(OutputNotWritable, match='this is a folder'), new_file(tmp_path, force=True):
        pytest.fail('the block must not run')
