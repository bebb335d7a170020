"""``grader batch``: one record a photo, on past bad files, the same whatever the number of processes."""

import shutil

import pytest

from grader.exit_codes import ExitCode
from tests.support.example_photos import cut_off_file, demo_photos, piece_without_card
from tests.support.run_grader import run_as_process, run_grader


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / 'photos'
    folder.mkdir()
    shutil.copy(demo_photos()[0], folder / 'B.JPG')
    piece_without_card(folder / 'a.jpg')
    (folder / 'notes.txt').write_text('not a photo')
    (folder / 'a.json').write_text('{}')
    return folder


def test_records_are_named_like_the_photos(folder, tmp_path):
    run = run_grader('batch', folder, '--out', tmp_path / 'out', '--jobs', 1)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out == f"2 of 2 photos have a record: {tmp_path / 'out'}\n"
    assert sorted(path.name for path in (tmp_path / 'out').iterdir()) == ['B.json', 'a.json']


def test_processes_make_no_difference(folder, tmp_path):
    assert run_grader('batch', folder, '--out', tmp_path / 'one', '--jobs', 1).code == ExitCode.DONE
    assert run_as_process('batch', folder, '--out', tmp_path / 'two', '--jobs', 2).code == ExitCode.DONE
    alone = run_grader('examine', folder / 'B.JPG', '--json').out
    assert (tmp_path / 'one' / 'B.json').read_text(encoding='utf-8') == alone
    for name in ('a.json', 'B.json'):
        assert (tmp_path / 'one' / name).read_bytes() == (tmp_path / 'two' / name).read_bytes()


def test_it_goes_on_past_bad_files_and_lists_them(folder, tmp_path):
    cut_off_file(folder / 'bad.jpg')
    (folder / 'empty.png').touch()
    run = run_grader('batch', folder, '--out', tmp_path / 'out', '--jobs', 1)
    assert run.code == ExitCode.PHOTO_SET
    assert sorted(path.name for path in (tmp_path / 'out').iterdir()) == ['B.json', 'a.json']
    assert run.out.startswith("2 of 4 photos have a record")
    lines = run.err.splitlines()
    assert lines[0].startswith("- bad.jpg: the file is damaged or cut short")
    assert lines[1].startswith("- empty.png: the file is empty.")
    assert lines[2].startswith("2 photo(s) could not be examined.")


def test_a_card_can_be_required(folder, tmp_path):
    run = run_grader('batch', folder, '--out', tmp_path / 'out', '--jobs', 1, '--require-card')
    assert run.code == ExitCode.PHOTO_SET
    assert run.err.startswith("- a.jpg: no marker of a calibration card is visible")
    assert [path.name for path in (tmp_path / 'out').iterdir()] == ['B.json']
