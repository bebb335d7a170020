"""``grader marks`` with photos of one field in two lights."""

import json

import numpy as np
import pytest
from PIL import Image

from grader.exit_codes import ExitCode
from tests.support.run_grader import run_grader
from tests.support.scratched_glass import as_photo, clean_glass, with_line, with_spot


def photo(path, grey):
    path.parent.mkdir(exist_ok=True)
    Image.fromarray(as_photo(grey)).save(path)
    return path


@pytest.fixture
def lights(tmp_path):
    front = with_line(clean_glass(1), (60, 250), (260, 90), 3.0, 30)
    behind = with_spot(clean_glass(2), (250, 250), 9, -60)
    return photo(tmp_path / 'front' / 'a.png', front), photo(tmp_path / 'behind' / 'a.png', behind)


def sure_rows(out):
    return [row for row in json.loads(out.read_text(encoding='utf-8')) if row['confidence'] >= 0.9]


def test_photos_of_one_name_make_one_list(tmp_path, lights):
    out = tmp_path / 'marks.json'
    run = run_grader('marks', *lights, '--out', out)
    assert run.code == ExitCode.DONE, run.err
    assert {(row['kind'], tuple(row['seen_in'])) for row in sure_rows(out)} == {
        ('scratch', ('front/a.png',)),
        ('spot', ('behind/a.png',)),
    }
    spot = next(row for row in sure_rows(out) if row['kind'] == 'spot')
    assert spot['photo'] == 'a.png'
    assert spot['could_be'] == ['chip', 'dust', 'bubble']
    assert np.mean(spot['polygon_px'], axis=0) == pytest.approx((250, 250), abs=2)


def test_photos_of_other_names_are_joined_when_told(tmp_path, lights):
    front, behind = lights
    behind = behind.rename(behind.with_name('b.png'))
    out = tmp_path / 'marks.json'
    assert run_grader('marks', front, behind, '--same-field', '--out', out).code == ExitCode.DONE
    assert {row['photo'] for row in sure_rows(out)} == {'a.png'}
    assert {tuple(row['seen_in']) for row in sure_rows(out)} == {('a.png',), ('b.png',)}


def test_the_same_photos_give_the_same_bytes(tmp_path, lights):
    for name in ('one.json', 'two.json'):
        run_grader('marks', *lights, '--out', tmp_path / name)
    assert (tmp_path / 'one.json').read_bytes() == (tmp_path / 'two.json').read_bytes()


def test_photos_of_unlike_shape_are_looked_at_alone(tmp_path, lights):
    wide = photo(tmp_path / 'wide' / 'a.png', with_spot(clean_glass(2, (200, 320)), (250, 150), 9, -60))
    out = tmp_path / 'marks.json'
    run = run_grader('marks', lights[0], wide, '--out', out)
    assert run.code == ExitCode.DONE
    assert {row['kind'] for row in sure_rows(out)} == {'scratch', 'spot'}


def test_same_field_wants_two_photos(tmp_path, lights):
    run = run_grader('marks', lights[0], '--same-field', '--out', tmp_path / 'marks.json')
    assert run.code == ExitCode.PHOTO_SET
    assert "--same-field joins exactly two" in run.err
    assert not (tmp_path / 'marks.json').exists()


def test_three_photos_of_one_name_are_too_many(tmp_path, lights):
    third = photo(tmp_path / 'side' / 'a.png', clean_glass(3))
    run = run_grader('marks', *lights, third, '--out', tmp_path / 'marks.json')
    assert run.code == ExitCode.PHOTO_SET
    assert "a.png: 3 photos have this name" in run.err
