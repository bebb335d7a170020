"""``grader check``: tables, JSON, exit codes; no marks and no files."""

import json

import cv2
import numpy as np
import pytest
from PIL import Image

from calib.linear_light import encode_srgb, linear_rgb
from grader.exit_codes import ExitCode
from tests.support.example_photos import cut_off_file, demo_photos, empty_ground, piece_without_card
from tests.support.run_grader import run_as_process, run_grader


@pytest.fixture(scope='module')
def checked():
    run = run_grader('check', *demo_photos(), '--json')
    assert run.code == ExitCode.DONE, run.err
    return json.loads(run.out)


def test_json_of_the_shipped_photos(checked):
    coaxial, low = checked['photos']
    assert (coaxial['photo'], low['photo']) == ('demo-coaxial.jpg', 'demo-low.jpg')
    assert (coaxial['quality']['light'], low['quality']['light']) == ('coaxial', 'low')
    for one in (coaxial, low):
        assert one['quality']['view'] == 'above'
        assert one['quality']['blur_source'] == 'card'
        assert one['quality']['verdict'] == 'usable'
    assert [view['there'] for view in checked['views']] == ['yes', 'yes', 'no', 'not told', 'no']


def test_words_of_one_photo():
    run = run_grader('check', demo_photos()[0])
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out.startswith(
        "demo-coaxial.jpg\n----------------\nWhat it is      from above; ring light round the lens\n"
    )
    assert run.out.endswith("demo-coaxial.jpg: usable\n")
    assert "Views of the piece" not in run.out


def test_a_ruined_photo_has_its_own_exit_code(tmp_path):
    with Image.open(demo_photos()[0]) as image:
        rgb = np.asarray(image.convert('RGB'))
    dark = (cv2.GaussianBlur(rgb, (0, 0), 1.5) * 0.13).astype(np.uint8)
    Image.fromarray(dark).save(tmp_path / 'dark.png')
    run = run_grader('check', tmp_path / 'dark.png')
    assert run.code == ExitCode.NO_PHOTO_USABLE, run.out + run.err
    assert "Use more light: white paper has only" in run.out
    assert run.out.endswith("dark.png: take it again\n")
    together = run_grader('check', tmp_path / 'dark.png', demo_photos()[1])
    assert together.code == ExitCode.DONE
    assert together.out.endswith("1 of 2 photos are usable.\n")


def test_softer_photos_show_less(tmp_path, checked):
    with Image.open(demo_photos()[0]) as image:
        rgb = np.asarray(image.convert('RGB'))
    soft_light = cv2.GaussianBlur(linear_rgb(rgb), (0, 0), 2.5)
    Image.fromarray(np.round(255 * encode_srgb(soft_light)).astype(np.uint8)).save(tmp_path / 'soft.png')
    soft = json.loads(run_grader('check', tmp_path / 'soft.png', '--json').out)['photos'][0]['quality']
    sharp = checked['photos'][0]['quality']
    assert soft['blur_px'] == pytest.approx(np.hypot(sharp['blur_px'], 2.5), rel=0.05)
    assert soft['verdict'] != 'usable'
    assert soft['smallest_chip_plain_px'] > sharp['smallest_chip_plain_px']


def test_without_a_card_what_cannot_be_told_is_said(tmp_path):
    run = run_grader('check', piece_without_card(tmp_path / 'a.jpg'))
    assert run.code == ExitCode.DONE, run.err
    assert "neither scale nor tilt of the camera can be told" in run.out
    assert "light was used could not be told" in run.out


def test_faults_of_single_photos_keep_their_codes(tmp_path):
    assert run_grader('check', cut_off_file(tmp_path / 'a.jpg')).code == ExitCode.FILE_UNREADABLE
    assert run_grader('check', empty_ground(tmp_path / 'b.jpg')).code == ExitCode.OUTLINE
    assert run_grader('check', piece_without_card(tmp_path / 'c.jpg'), '--require-card').code == ExitCode.CARD
    both = run_grader('check', tmp_path / 'a.jpg', tmp_path / 'b.jpg')
    assert both.code == ExitCode.NO_PHOTO_USABLE
    assert "a.jpg: the file is damaged or cut short" in both.out
    assert both.out.endswith("0 of 2 photos are usable.\n")


def test_as_a_process():
    run = run_as_process('check', demo_photos()[0])
    assert (run.code, run.err) == (ExitCode.DONE, '')
