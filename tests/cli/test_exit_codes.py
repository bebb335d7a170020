"""Each promised exit code is reached by a command, with words on standard error that say what to do."""

import json
import re
import shutil
import signal

import pytest

from grader.exit_codes import ExitCode
from tests.support.example_photos import cut_off_file, demo_photos, empty_ground, piece_without_card
from tests.support.run_grader import grader_process, run_as_process, run_grader
from tests.support.sample_record import sample_record


def test_done_and_version():
    run = run_grader('--version')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert re.fullmatch(r'grader \d+\.\d+\.\d+\n', run.out)


@pytest.mark.parametrize(
    'args',
    [
        ('examine',),
        ('examine', 'a.jpg', '--no-such-option'),
        ('no-such-command',),
        ('card',),
        ('batch', 'x', '--jobs', '0'),
    ],
    ids=' '.join,
)
def test_wrong_command_line(args):
    run = run_grader(*args)
    assert run.code == ExitCode.WRONG_COMMAND_LINE
    assert run.out == ''
    assert 'Usage: grader' in run.err


def test_photo_unreadable(tmp_path):
    run = run_grader('examine', cut_off_file(tmp_path / 'IMG_1.JPG'))
    assert run.code == ExitCode.FILE_UNREADABLE
    assert run.err.startswith("IMG_1.JPG: the file is damaged or cut short")
    assert "Copy it again" in run.err
    assert run.out == ''


def test_record_unreadable(tmp_path):
    (tmp_path / 'record.json').write_text('{"record_version": 99}')
    run = run_grader('show', tmp_path / 'record.json')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "the record is of version 99, and version 1 is needed. Use a newer grader" in run.err


def test_card_required(tmp_path):
    run = run_grader('examine', piece_without_card(tmp_path / 'a.jpg'), '--require-card')
    assert run.code == ExitCode.CARD
    assert run.err.startswith("a.jpg: no marker of a calibration card is visible")
    assert "Take it again with the whole card in the picture" in run.err


def test_no_piece(tmp_path):
    run = run_grader('examine', empty_ground(tmp_path / 'a.jpg'))
    assert run.code == ExitCode.OUTLINE
    assert run.err.startswith("a.jpg: ")


def test_folder_without_photos(tmp_path):
    run = run_grader('batch', tmp_path, '--out', tmp_path / 'out')
    assert run.code == ExitCode.PHOTO_SET
    assert "there is no photo in the folder" in run.err
    assert not (tmp_path / 'out').exists()
    assert run_grader('batch', tmp_path / 'no', '--out', tmp_path / 'out').code == ExitCode.PHOTO_SET


def test_none_of_several_photos(tmp_path):
    run = run_grader('examine', cut_off_file(tmp_path / 'a.jpg'), empty_ground(tmp_path / 'b.jpg'))
    assert run.code == ExitCode.PHOTO_SET
    assert "None of the 2 photos could be examined:\n- a.jpg: the file is damaged" in run.err
    assert "\n- b.jpg: " in run.err


def test_output_exists(tmp_path):
    run = run_grader('examine', piece_without_card(tmp_path / 'a.jpg'), '--out', tmp_path)
    assert run.code == ExitCode.OUTPUT
    assert "the folder exists already. Give another name, or add --force" in run.err
    assert sorted(path.name for path in tmp_path.iterdir()) == ['a.jpg']


def test_disk_full(tmp_path):
    out = tmp_path / 'out'
    run = run_as_process('examine', piece_without_card(tmp_path / 'a.jpg'), '--out', out, max_file_bytes=500)
    assert run.code == ExitCode.OUTPUT, run.err
    assert run.err.startswith(f"{out}: it cannot be written (File too large). Check that there is room on the disk")
    assert sorted(path.name for path in tmp_path.iterdir()) == ['a.jpg']


@pytest.mark.parametrize('args', [('--card-scale-mm', '20'), ('--height-mm', '5'), ('--when', 'noon')], ids=' '.join)
def test_options_that_do_not_fit(tmp_path, args):
    run = run_grader('examine', piece_without_card(tmp_path / 'a.jpg'), *args)
    assert run.code == ExitCode.SETTINGS


def test_our_bug_in_a_batch_does_not_end_it(tmp_path, monkeypatch):
    # The one patch in this folder: a fault of ours has no other way in.
    from grader.commands import batch

    def examine(paths, *args, **kwargs):
        raise ZeroDivisionError('division by zero')

    monkeypatch.setattr(batch, 'examine_photos', examine)
    folder = tmp_path / 'photos'
    folder.mkdir()
    piece_without_card(folder / 'a.jpg')
    run = run_grader('batch', folder, '--out', tmp_path / 'out', '--jobs', 1)
    assert run.code == ExitCode.OUR_BUG
    assert "- a.jpg: fault in grader (ZeroDivisionError: division by zero)." in run.err
    assert "Please report" in run.err
    assert run.out == f"0 of 1 photos have a record: {tmp_path / 'out'}\n"


@pytest.mark.parametrize('n_jobs', [1, 2])
def test_stopped_by_the_user(tmp_path, n_jobs):
    folder = tmp_path / 'photos'
    folder.mkdir()
    for number in range(40):
        shutil.copy(demo_photos()[0], folder / f'{number:02}.jpg')
    process = grader_process('batch', folder, '--out', tmp_path / 'out', '--jobs', n_jobs, '--verbose')
    # With --verbose the first photo is told when it is done; with several processes the wait is for the work folder.
    if n_jobs == 1:
        process.stderr.readline()
    else:
        while not list(tmp_path.glob('.out-*')):
            assert process.poll() is None
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=60)
    assert process.returncode == ExitCode.STOPPED
    assert err.endswith("Stopped. Nothing was left half-written.\n")
    assert 'Traceback' not in err
    assert sorted(path.name for path in tmp_path.iterdir()) == ['photos']


def test_show_prints_a_table(tmp_path):
    (tmp_path / 'record.json').write_text(sample_record().to_json(), encoding='utf-8')
    run = run_grader('show', tmp_path / 'record.json')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out.startswith("a.jpg\n-----\nCondition")
    assert json.loads((tmp_path / 'record.json').read_text(encoding='utf-8'))['photo'] == 'a.jpg'
