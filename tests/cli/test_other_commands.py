"""``grader card``, ``marks`` and ``calibrate``."""

import json

import numpy as np
import pytest
from PIL import Image

from grader.exit_codes import ExitCode
from tests.support.example_photos import cut_off_file, piece_without_card
from tests.support.run_grader import run_as_process, run_grader


@pytest.mark.parametrize('card', ['frame', 'pocket'])
@pytest.mark.parametrize('paper', ['a4', 'letter'])
def test_card(tmp_path, card, paper):
    out = tmp_path / 'card.pdf'
    run = run_grader('card', '--card', card, '--paper', paper, '--out', out)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert out.read_bytes().startswith(b'%PDF-')
    assert run.out.startswith(f"Card: {out}\nPrint it at 100 %")
    again = tmp_path / 'again.pdf'
    run_grader('card', '--card', card, '--paper', paper, '--out', again)
    assert again.read_bytes() == out.read_bytes()


def test_card_is_not_replaced_unasked(tmp_path):
    out = tmp_path / 'card.pdf'
    out.write_text('mine')
    run = run_grader('card', '--out', out)
    assert run.code == ExitCode.OUTPUT
    assert "the file exists already" in run.err
    assert out.read_text() == 'mine'
    assert run_grader('card', '--out', out, '--force').code == ExitCode.DONE
    assert out.read_bytes().startswith(b'%PDF-')


def test_card_as_a_process(tmp_path):
    assert run_as_process('card', '--out', tmp_path / 'card.pdf').code == ExitCode.DONE


def scratched_glass(path):
    """Grey close-up with one bright line from (60, 200) to (340, 120), 3 px wide."""
    y, x = np.mgrid[0:300, 0:400].astype(float)
    along = ((x - 60) * 280 + (y - 200) * -80) / 291.2
    across = ((x - 60) * 80 + (y - 200) * 280) / 291.2
    line = np.exp(-0.5 * (across / 1.3) ** 2) * ((along > 0) & (along < 291.2))
    picture = 110 + 90 * line + np.random.default_rng(8).normal(0, 2, line.shape)
    Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(path)
    return path


def test_marks(tmp_path):
    out = tmp_path / 'marks.json'
    run = run_grader('marks', scratched_glass(tmp_path / 'close.png'), '--out', out)
    assert run.code == ExitCode.DONE, run.err
    rows = json.loads(out.read_text(encoding='utf-8'))
    assert {row['photo'] for row in rows} == {'close.png'}
    surest = max(rows, key=lambda row: row['confidence'])
    assert surest['kind'] == 'scratch'
    assert surest['confidence'] > 0.9
    x, y = (np.array(surest['polygon_px']) - (60, 200)).T
    along, across = (x * 280 - y * 80) / 291.2, (x * 80 + y * 280) / 291.2
    # Three of the line's own blurs to each side and as much again for the filters', and nine tenths of its length.
    assert np.abs(across).max() <= 2 * 3 * 1.3
    assert along.min() <= 0.05 * 291.2
    assert along.max() >= 0.95 * 291.2
    assert run.out == f"{len(rows)} mark(s) in 1 photo(s): {out}\n"


def test_marks_of_a_bad_photo(tmp_path):
    run = run_grader('marks', cut_off_file(tmp_path / 'a.jpg'), '--out', tmp_path / 'marks.json')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert not (tmp_path / 'marks.json').exists()


def test_marks_as_a_process(tmp_path):
    photo = scratched_glass(tmp_path / 'close.png')
    assert run_as_process('marks', photo, '--out', tmp_path / 'marks.json').code == ExitCode.DONE


def test_calibrate_needs_photos_of_the_card(tmp_path):
    run = run_grader('calibrate', piece_without_card(tmp_path / 'a.jpg'), '--out', tmp_path / 'profile.json')
    assert run.code in (ExitCode.CARD, ExitCode.PHOTO_SET)
    assert run.out == ''
    assert not (tmp_path / 'profile.json').exists()
