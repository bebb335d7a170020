"""``grader review``: files, words and codes."""

import json
import shutil

import pytest
from PIL import Image

from grader.exit_codes import ExitCode
from grader.record import read_record
from tests.support.example_photos import demo_photos
from tests.support.reviewed import round_record
from tests.support.run_grader import grader_process, run_as_process, run_grader

WHO = ('--initials', 'AB', '--reason', "felt with a fingernail", '--when', '2026-03-10T10:09')
SQUARE = "490,390 510,390 510,410 490,410"


@pytest.fixture
def record(tmp_path):
    folder = tmp_path / 'look'
    folder.mkdir()
    (folder / 'record.json').write_text(round_record().to_json(), encoding='utf-8')
    return folder / 'record.json'


@pytest.fixture(scope='module')
def examined(tmp_path_factory):
    """A demo photo, examined, with the photo beside the results' folder."""
    folder = tmp_path_factory.mktemp('piece')
    photo = shutil.copy(next(path for path in demo_photos() if 'low' in path.name), folder / 'IMG_1.jpg')
    assert run_grader('examine', photo, '--out', folder / 'look').code == 0
    return folder / 'look' / 'record.json'


def review_in(record):
    return json.loads((record.parent / 'review.json').read_text(encoding='utf-8'))


def test_nothing_is_written_by_looking(record):
    run = run_grader('review', record)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert "Nothing is reviewed yet." in run.out
    assert [path.name for path in record.parent.iterdir()] == ['record.json']


def test_the_last_word(record):
    before = record.read_bytes()
    run = run_grader('review', record, 'confirm', 1, 2, *WHO)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert "As reviewed   " in run.out
    assert "As found      " in run.out
    assert "1      mark 1 confirmed  AB  2026-03-10T10:09:00  felt with a fingernail" in run.out
    assert run_grader('review', record, 'reject', 3, *WHO).code == 0
    assert run_grader('review', record, 'relabel', 5, 'bubble', *WHO).code == 0
    written = review_in(record)
    assert [entry['act']['action'] for entry in written['entries']] == ['confirm', 'confirm', 'reject', 'relabel']
    assert written['result']['found_grade'] == json.loads(before)['grade']
    assert record.read_bytes() == before


def test_same_acts_same_bytes(record, tmp_path):
    other = tmp_path / 'other.json'
    for review in ((), ('--review', other)):
        assert run_grader('review', record, 'add', 'chip', '--polygon', SQUARE, *WHO, *review).code == 0
    assert (record.parent / 'review.json').read_bytes() == other.read_bytes()


def test_the_computers_clock_is_marked_as_such(record):
    run = run_grader('review', record, 'confirm', 1, *WHO[:4])
    assert review_in(record)['entries'][0]['clock'] == 'computer'
    assert "* by this computer's clock, which proves no date" in run.out


def test_drawing_without_the_photo_tells_that_it_is_less_sure(record):
    run = run_grader('review', record, 'add', 'scratch', '--line', "450,350 560,420", '--width-mm', 0.2, *WHO)
    assert run.code == 0
    assert run.err.startswith("Note: measured by the record alone, which is less sure. ")
    assert "a.jpg: not found" in run.err
    assert "6    scratch  " in run.out
    assert review_in(record)['entries'][0]['drawn']['surface_source'] == 'record'


def test_undo(record):
    run_grader('review', record, 'confirm', 1, *WHO)
    result = review_in(record)['result']
    run_grader('review', record, 'reject', 1, *WHO)
    run = run_grader('review', record, 'undo', *WHO)
    assert "2      mark 1 rejected (undone)" in run.out
    assert review_in(record)['result'] == result
    assert len(review_in(record)['entries']) == 3


def test_acts_from_a_file_are_noted_all_or_none(record, tmp_path):
    acts = [
        {'act': {'action': 'confirm', 'mark': 1}},
        {'act': {'action': 'reject', 'mark': 2}, 'reason': "a reflection"},
    ]
    (tmp_path / 'acts.json').write_text(json.dumps(acts), encoding='utf-8')
    run = run_grader('review', record, '--actions', tmp_path / 'acts.json', *WHO, '--json')
    assert [entry['reason'] for entry in json.loads(run.out)['entries']] == ["felt with a fingernail", "a reflection"]
    before = (record.parent / 'review.json').read_bytes()
    assert run.out.encode() == before
    acts.append({'act': {'action': 'confirm', 'mark': 99}})
    (tmp_path / 'acts.json').write_text(json.dumps(acts), encoding='utf-8')
    run = run_grader('review', record, '--actions', tmp_path / 'acts.json', *WHO)
    assert (run.code, run.out) == (ExitCode.SETTINGS, '')
    assert (record.parent / 'review.json').read_bytes() == before


@pytest.mark.parametrize(
    ('words', 'code', 'told'),
    [
        (('confirm', 9, *WHO), ExitCode.SETTINGS, "There is no mark 9"),
        (('confirm', 1), ExitCode.SETTINGS, "--initials is missing"),
        (('praise', 1, *WHO), ExitCode.SETTINGS, "is nothing that can be said of a mark. Say one of"),
        (('redraw', 1, '--polygon', "1,1 9,9 9,1 1,9", *WHO), ExitCode.SETTINGS, "The outline crosses itself"),
        (('redraw', 1, '--polygon', "1,1 9,9 1009,1", *WHO), ExitCode.SETTINGS, "lies outside of the photo a.jpg"),
        (('redraw', 9, '--polygon', SQUARE, *WHO), ExitCode.SETTINGS, "There is no mark 9"),
        (('add', 'chip', '--polygon', SQUARE, '--photo', 'z.jpg', *WHO), ExitCode.SETTINGS, "z.jpg is not a photo"),
        (('confirm', 1, '--actions', 'x.json', *WHO), ExitCode.SETTINGS, "An action and --actions were both given"),
        (('--picture', 'picture.jpg'), ExitCode.PHOTO_SET, "a.jpg: not found"),
    ],
    ids=lambda value: ' '.join(map(str, value[:2])) if isinstance(value, tuple) else None,
)
def test_faults_leave_nothing_behind(record, words, code, told, monkeypatch):
    monkeypatch.chdir(record.parent)
    run = run_grader('review', record, *words)
    assert run.code == code
    assert told in run.err
    assert [path.name for path in record.parent.iterdir()] == ['record.json']


def test_a_changed_record_is_noticed(record):
    run_grader('review', record, 'confirm', 1, *WHO)
    record.write_text(round_record(made_at='2026-03-11T00:00:00').to_json(), encoding='utf-8')
    for command in ('review', 'show'):
        run = run_grader(command, record)
        assert run.code == ExitCode.FILE_UNREADABLE
        assert "review.json: this is the review of other contents of record.json" in run.err


def test_a_full_disk_leaves_the_old_review(record):
    run_grader('review', record, 'confirm', 1, *WHO)
    before = (record.parent / 'review.json').read_bytes()
    run = run_as_process('review', record, 'confirm', 2, *WHO, max_file_bytes=500)
    assert run.code == ExitCode.OUTPUT
    assert "it cannot be written (File too large)" in run.err
    assert (record.parent / 'review.json').read_bytes() == before
    assert sorted(path.name for path in record.parent.iterdir()) == ['record.json', 'review.json']


def test_two_programs_at_once_lose_nothing(record):
    programs = [grader_process('review', record, 'confirm', number, *WHO) for number in (1, 2, 3)]
    assert [program.communicate(timeout=120) and program.returncode for program in programs] == [0, 0, 0]
    assert sorted(entry['mark'] for entry in review_in(record)['entries']) == [1, 2, 3]


def test_with_the_photo_at_hand(examined, tmp_path):
    mark = read_record(examined).marks[1]
    points = ' '.join(f'{x},{y}' for x, y in mark.outline_px)
    run = run_grader('review', examined, 'redraw', mark.number, '--polygon', points, *WHO)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    drawn = review_in(examined)['entries'][0]['drawn']
    assert drawn['surface_source'] == 'photo'
    assert drawn['clock_h'] == pytest.approx(mark.clock_h, abs=0.1)
    assert drawn['radius_ratio'] == pytest.approx(mark.radius_ratio, abs=0.01)
    # The same outline, measured by hand's rules and by the network's: alike within the stated doubts.
    assert abs(drawn['length_mm'] - mark.length_mm) < 2 * mark.u_length_mm + 2 * drawn['u_length_mm']
    run = run_grader('review', examined, 'reject', 1, *WHO, '--picture', tmp_path / 'picture.jpg')
    assert run.code == 0
    assert run.out.endswith(f"Picture:  {tmp_path / 'picture.jpg'}\n")
    with Image.open(tmp_path / 'picture.jpg') as picture:
        assert min(picture.size) > 1000
    assert run_grader('review', examined, '--picture', tmp_path / 'picture.jpg').code == ExitCode.OUTPUT
    shown = run_grader('show', examined)
    assert shown.out.startswith("IMG_1.jpg\n")
    assert "Review of record.json" in shown.out


def test_a_photo_that_changed_is_not_taken(examined, tmp_path):
    moved = shutil.copytree(examined.parent, tmp_path / 'look')
    (moved / 'review.json').unlink(missing_ok=True)
    with Image.open(examined.parent.parent / 'IMG_1.jpg') as photo:
        photo.save(tmp_path / 'IMG_1.jpg', quality=60)
    run = run_grader('review', moved / 'record.json', '--picture', tmp_path / 'picture.jpg')
    assert run.code == ExitCode.PHOTO_SET
    assert "has changed since it was examined" in run.err
    assert not (tmp_path / 'picture.jpg').exists()
    by_hand = run_grader(
        'review', moved / 'record.json', '--picture', tmp_path / 'picture.jpg', '--photos', examined.parent.parent
    )
    assert by_hand.code == 0


def test_a_review_is_sealed_with_its_record_and_then_left_alone(examined, tmp_path, monkeypatch):
    monkeypatch.setenv('XDG_CONFIG_HOME', str(tmp_path / 'settings'))
    monkeypatch.setenv('HOME', str(tmp_path))
    run_grader('review', examined, 'confirm', 1, *WHO)
    assert run_grader('seal', examined.parent, '--out', tmp_path / 'sealed').code == 0
    inside = tmp_path / 'sealed' / 'look' / 'data' / 'examination' / 'record.json'
    assert inside.with_name('review.json').exists()
    run = run_grader('review', inside, 'confirm', 2, *WHO)
    assert run.code == ExitCode.OUTPUT
    assert "lies in a sealed bag, look, which a review would break" in run.err
    assert run_grader('verify', tmp_path / 'sealed').code == 0
    outside = run_grader('review', inside, 'confirm', 2, *WHO, '--review', tmp_path / 'own.json')
    assert outside.code == 0
