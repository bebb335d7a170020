"""``grader compare``: files, words, exit codes, and each way in which two sides cannot be compared."""

import json
import shutil

import pytest
from PIL import Image

from grader.exit_codes import ExitCode
from tests.support.compared_sides import examined
from tests.support.example_photos import cut_off_file, demo_photos, empty_ground, journey_photos, piece_without_card
from tests.support.run_grader import ROOT, run_as_process, run_grader

BEFORE, AFTER = demo_photos()
PHOTOS = ROOT / 'fixtures' / 'photos'
FILES = ['comparison.html', 'comparison.jpg', 'comparison.json']
FOLDER = [*FILES, 'pictures']


@pytest.fixture(scope='module')
def compared(tmp_path_factory):
    """One piece in two lights, compared once for several tests."""
    out = tmp_path_factory.mktemp('compare') / 'out'
    run = run_grader('compare', BEFORE, AFTER, '--out', out, '--stated-size', '75 mm', '--stated-size', 'height 50 mm')
    return run, out


def test_files_and_words(compared):
    run, out = compared
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert sorted(path.name for path in out.iterdir()) == FOLDER
    assert run.out.startswith("The same piece; ")
    assert f"Comparison:  {out / 'comparison.json'}" in run.out
    assert f"Page:        {out / 'comparison.html'}" in run.out
    assert "This says nothing about who or what caused a change" in ' '.join(run.out.split())
    with Image.open(out / 'comparison.jpg') as picture:
        assert picture.width > 1800


def test_new_damage_after_a_journey(tmp_path):
    """The truth has a scratch near 3 o'clock, a chip on the crown near 7 and one on the rim near 9, hard to see."""
    run = run_grader('compare', *journey_photos(), '--exit-code', '--json')
    assert (run.code, run.err) == (ExitCode.NEW_DAMAGE, '')
    told = json.loads(run.out)
    new = [one for one in told['changes'] if one['change'] == 'new' and one['confidence'] >= 0.5]
    named = {(one['kind'], round(one['clock_h'])) for one in new}
    assert {('scratch', 3), ('chip', 7)} <= named <= {('scratch', 3), ('chip', 7), ('chip', 9)}
    kept = [one for one in told['changes'] if one['change'] == 'unchanged' and one['confidence'] >= 0.5]
    assert len(kept) >= 3
    assert round(told['before']['photos'][0]['turn_deg']) in (138, -222)


def test_the_comparison_names_both_photos(compared):
    told = json.loads((compared[1] / 'comparison.json').read_text(encoding='utf-8'))
    assert told['same_piece']['probability'] > 0.5
    assert [told[side]['photos'][0]['photo']['name'] for side in ('before', 'after')] == [BEFORE.name, AFTER.name]
    assert [one['stated'] for one in told['stated_sizes']] == ['75 mm', 'height 50 mm']
    assert told['made_at'] == ''


def test_same_input_same_bytes(compared, tmp_path):
    _, out = compared
    again = run_as_process(
        'compare', BEFORE, AFTER, '--out', tmp_path / 'again', '--stated-size', '75 mm', '--stated-size', 'height 50 mm'
    )
    assert (again.code, again.err) == (ExitCode.DONE, '')
    for name in FILES:
        assert (tmp_path / 'again' / name).read_bytes() == (out / name).read_bytes(), name


def test_a_record_stands_for_its_photos(compared, tmp_path):
    """The same comparison, the earlier side given as a folder with a record; its photo lies elsewhere."""
    first = tmp_path / 'first'
    first.mkdir()
    (first / 'record.json').write_text(examined(0).record.to_json(), encoding='utf-8')
    run = run_grader('compare', first, AFTER, '--photos', BEFORE.parent, '--json', '--when', '2026-03-10T10:09')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    told = json.loads(run.out)
    by_photo = json.loads((compared[1] / 'comparison.json').read_text(encoding='utf-8'))
    assert (told['before']['given_as'], told['before']['record_name']) == ('record', 'record.json')
    assert told['made_at'] == '2026-03-10T10:09:00'
    assert told['changes'] == by_photo['changes']
    assert told['same_piece'] == by_photo['same_piece']


def test_a_folder_and_further_photos(tmp_path):
    folder = tmp_path / 'after'
    folder.mkdir()
    shutil.copy(AFTER, folder / 'a.jpg')
    run = run_grader('compare', BEFORE, folder, '--more-after', BEFORE, '--json')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    told = json.loads(run.out)
    assert {one['photo']['name'] for one in told['after']['photos']} == {'a.jpg', BEFORE.name}
    assert [flag['name'] for flag in told['flags']] == ['same-photo-on-both-sides']


def test_another_piece_is_not_called_the_same(tmp_path):
    run = run_grader('compare', BEFORE, PHOTOS / 'canes-worn.jpg', '--exit-code', '--out', tmp_path / 'out')
    assert run.code == ExitCode.DONE, run.err
    told = json.loads((tmp_path / 'out' / 'comparison.json').read_text(encoding='utf-8'))
    assert told['same_piece']['verdict'] != 'same piece'
    if told['same_piece']['verdict'] == 'another piece':
        assert told['changes'] == []
        assert "So no change is told" in run.out


def test_an_altered_photo_of_a_record(tmp_path):
    (tmp_path / 'record.json').write_text(examined(0).record.to_json(), encoding='utf-8')
    data = bytearray(BEFORE.read_bytes())
    data[-100] ^= 1
    (tmp_path / BEFORE.name).write_bytes(data)
    run = run_grader('compare', tmp_path / 'record.json', AFTER)
    assert run.code == ExitCode.NOT_COMPARABLE
    assert f"record.json: {BEFORE.name} is not the photo that this record was made of" in run.err
    assert "Give the photo as it was" in run.err


def test_a_photo_of_a_record_is_missing(tmp_path):
    (tmp_path / 'record.json').write_text(examined(0).record.to_json(), encoding='utf-8')
    run = run_grader('compare', tmp_path / 'record.json', AFTER)
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "Name the folder that they lie in with --photos." in run.err


@pytest.mark.parametrize('is_later', [False, True])
def test_a_side_without_a_piece(tmp_path, is_later):
    ground = empty_ground(tmp_path / 'a.jpg')
    run = run_grader('compare', *((BEFORE, ground) if is_later else (ground, AFTER)), '--out', tmp_path / 'out')
    assert run.code == ExitCode.NOT_COMPARABLE
    assert run.err.startswith(f"The {'later' if is_later else 'earlier'} side shows no piece. a.jpg: ")
    assert not (tmp_path / 'out').exists()


def test_nothing_usable_on_one_side(tmp_path):
    folder = tmp_path / 'before'
    folder.mkdir()
    empty_ground(folder / 'a.jpg')
    cut_off_file(folder / 'b.jpg')
    run = run_grader('compare', folder, AFTER)
    assert run.code == ExitCode.NOT_COMPARABLE
    assert "The earlier side has no photo that can be used. None of the 2 photos could be examined" in run.err
    assert "Mend one of them first." in run.err


def test_top_against_side():
    run = run_grader('compare', PHOTOS / 'canes-worn.jpg', PHOTOS / 'canes-worn-side.jpg')
    assert run.code == ExitCode.NOT_COMPARABLE
    assert run.err.startswith("The earlier side shows the piece from above only, the later side from the side only.")
    assert "Photograph the piece from above for the later side too" in run.err
    assert "--more-before or --more-after" in run.err


def test_base_against_top():
    run = run_grader('compare', BEFORE, AFTER, '--base', AFTER)
    assert run.code == ExitCode.NOT_COMPARABLE
    assert run.err.startswith("The later side shows only the base of the piece, the earlier side does not show it.")
    assert "Photograph the piece's top for the later side too" in run.err


def test_a_hopelessly_small_picture(tmp_path):
    with Image.open(piece_without_card(tmp_path / 'large.jpg')) as picture:
        picture.resize((320, 240)).save(tmp_path / 'small.jpg', quality=95)
    run = run_grader('compare', tmp_path / 'small.jpg', AFTER)
    assert run.code == ExitCode.NOT_COMPARABLE
    assert "The earlier side shows too little: of small.jpg, the piece is only" in run.err
    assert "open the largest picture that it offers" in run.err


def test_options_that_a_record_has_itself(tmp_path):
    (tmp_path / 'record.json').write_text(examined(0).record.to_json(), encoding='utf-8')
    run = run_grader('compare', tmp_path / 'record.json', AFTER, '--card-scale-before-mm', '99.5')
    assert run.code == ExitCode.SETTINGS
    assert run.err.startswith(
        "--card-scale-before-mm: record.json is a record, and its photos are examined with its own"
    )


@pytest.mark.parametrize(
    ('args', 'code', 'words'),
    [
        (('--stated-size', '75'), ExitCode.SETTINGS, 'is not a length with its unit'),
        (('--wiped', 'other.jpg'), ExitCode.SETTINGS, '--wiped: other.jpg is not among the photos'),
        (('--out', ROOT), ExitCode.OUTPUT, 'the folder exists already'),
        (('--card-scale-after-mm', '20'), ExitCode.SETTINGS, 'ruler'),
    ],
)
def test_options_that_do_not_fit(args, code, words):
    run = run_grader('compare', BEFORE, AFTER, *args)
    assert run.code == code
    assert words in run.err


def test_a_photo_that_is_not_there(tmp_path):
    run = run_grader('compare', tmp_path / 'no.jpg', AFTER)
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "there is no such file" in run.err


def test_disk_full(tmp_path):
    out = tmp_path / 'out'
    run = run_as_process('compare', BEFORE, AFTER, '--out', out, max_file_bytes=3000)
    assert run.code == ExitCode.OUTPUT, run.err
    assert list(tmp_path.iterdir()) == []


def test_show_prints_the_table_of_a_comparison_again(compared, tmp_path):
    run = run_grader('show', compared[1] / 'comparison.json')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert compared[0].out.startswith(run.out.rstrip('\n'))
    (tmp_path / 'c.json').write_text('{"comparison_version": 7}')
    run = run_grader('show', tmp_path / 'c.json')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "c.json: the comparison is of version 7, and version 1 is needed." in run.err
