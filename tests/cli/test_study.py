"""``grader study``: photos or records of pieces in, files, table and words out, and a word for each fault."""

import csv
import json
import shutil

import pytest
from PIL import Image

from grader.exit_codes import ExitCode
from tests.support.example_photos import cut_off_file, piece_without_card
from tests.support.run_grader import run_as_process, run_grader
from tests.support.study_records import invented_study, write_study


@pytest.fixture
def records(tmp_path):
    return write_study(tmp_path / 'pieces', invented_study(n_pieces=4, setups=('ann', 'ben'), n_photos=2))


def names_in(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob('*') if path.is_file())


def two_photos(folder):
    """Two photos of a drawn piece without a card, in a folder of the piece."""
    folder.mkdir(parents=True)
    piece_without_card(folder / '1.jpg')
    with Image.open(folder / '1.jpg') as picture:
        picture.save(folder / '2.jpg', quality=90)
    return folder


def test_records_are_studied_without_an_examination(records, tmp_path):
    run = run_grader('study', records, '--out', tmp_path / 'out')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out.startswith("Repeatability of 4 pieces, 2 set-ups, 16 photos\n")
    assert "- The scores of two photos of the same piece by the same set-up differ by less than " in run.out
    assert run.out.endswith(f"Study:  {tmp_path / 'out' / 'study.json'}\nPage:   {tmp_path / 'out' / 'study.html'}\n")
    assert names_in(tmp_path / 'out') == [
        'marks-agreement-1.svg', 'marks-by-piece.svg', 'score-agreement-1.svg', 'score-by-piece.svg',
        'sources-of-spread.svg', 'study.html', 'study.json', 'width-agreement-1.svg', 'width-by-piece.svg',
    ]  # fmt: skip


def test_json_is_the_study_itself(records, tmp_path):
    run = run_grader('study', records, '--out', tmp_path / 'out', '--json')
    assert run.out == (tmp_path / 'out' / 'study.json').read_text(encoding='utf-8')
    study = json.loads(run.out)
    assert study['study_version'] == 1
    assert [one['name'] for one in study['quantities']] == ['score', 'width', 'marks']


def test_a_table_tells_the_same_as_folders(records, tmp_path):
    with (tmp_path / 'table.csv').open('w', newline='', encoding='utf-8') as file:
        rows = [(path.relative_to(tmp_path), path.parts[-3], path.parts[-2]) for path in records.rglob('*.json')]
        csv.writer(file).writerows([('photo', 'piece', 'setup'), *reversed(rows)])
    one = run_grader('study', records, '--out', tmp_path / 'one', '--json')
    two = run_grader('study', tmp_path / 'table.csv', '--out', tmp_path / 'two', '--json')
    assert (one.code, two.code) == (ExitCode.DONE, ExitCode.DONE)
    assert one.out == two.out


def test_photos_are_examined_once_and_their_records_kept(tmp_path):
    two_photos(tmp_path / 'pieces' / 'rose')
    run = run_as_process('study', tmp_path / 'pieces', '--out', tmp_path / 'out', '--jobs', 2)
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out.startswith("Repeatability of 1 piece, 2 photos\n")
    assert "millimetres need the calibration card" in ' '.join(run.out.split())
    kept = tmp_path / 'out' / 'records'
    assert names_in(kept) == ['1.json', '2.json', 'records.csv', 'together-1.json']
    again = run_grader('study', kept / 'records.csv', '--out', tmp_path / 'again')
    assert again.code == ExitCode.DONE
    assert names_in(tmp_path / 'again') == ['marks-by-piece.svg', 'score-by-piece.svg', 'sources-of-spread.svg',
                                            'study.html', 'study.json']  # fmt: skip
    first, second = (tmp_path / name / 'study.json' for name in ('out', 'again'))
    assert second.read_bytes() == first.read_bytes()
    alone = run_grader('examine', tmp_path / 'pieces' / 'rose' / '2.jpg', '--json')
    assert (kept / '2.json').read_text(encoding='utf-8') == alone.out


def test_photos_with_a_record_are_not_examined_again(tmp_path):
    rose = two_photos(tmp_path / 'pieces' / 'rose')
    for name in ('1', '2'):
        (rose / f'{name}.json').write_text(run_grader('examine', rose / f'{name}.jpg', '--json').out, encoding='utf-8')
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out')
    assert run.code == ExitCode.DONE
    assert not (tmp_path / 'out' / 'records').exists()


def test_photos_of_one_name_are_told_apart(tmp_path):
    photos = two_photos(tmp_path / 'photos')
    for setup, photo in (('ann', '1.jpg'), ('ben', '2.jpg')):
        (tmp_path / 'pieces' / 'rose' / setup).mkdir(parents=True)
        shutil.copy(photos / photo, tmp_path / 'pieces' / 'rose' / setup / 'IMG.jpg')
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out', '--jobs', 1, '--json')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    study = json.loads(run.out)
    assert [(one['photo'], one['setup']) for one in study['readings']] == [('IMG.jpg', 'ann'), ('IMG.jpg', 'ben')]
    assert study['marks_again']['n_pieces'] == 1
    # One photo by each of two set-ups: what they differ by cannot be told from what photos differ by.
    assert study['quantities'] == []
    assert any(words.startswith("Of the scores nothing can be told.") for words in study['summary'])
    assert names_in(tmp_path / 'out' / 'records') == [
        'IMG.jpg-2.json', 'IMG.jpg.json', 'records.csv', 'together-1.json',
    ]  # fmt: skip


def test_the_same_photo_twice_is_refused_before_the_work(tmp_path):
    rose = two_photos(tmp_path / 'pieces' / 'rose')
    shutil.copy(rose / '1.jpg', rose / '3.jpg')
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out', '--jobs', 1)
    assert run.code == ExitCode.PHOTO_SET
    assert run.err.startswith("3.jpg: the same photo is there twice for the piece \"rose\" (also as 1.jpg)")
    assert not (tmp_path / 'out').exists()


def test_it_goes_on_past_what_cannot_be_used(records, tmp_path):
    cut_off_file(records / 'piece 0' / 'ann' / 'bad.jpg')
    (records / 'piece 1' / 'ben' / 'old.json').write_text('{"record_version": 99}')
    run = run_grader('study', records, '--out', tmp_path / 'out', '--jobs', 1)
    assert run.code == ExitCode.PHOTO_SET
    assert run.out.startswith("Repeatability of 4 pieces, 2 set-ups, 16 photos\n")
    assert "- bad.jpg: the file is damaged or cut short" in run.err
    assert "- old.json: the record is of version 99, and version 1 is needed." in run.err
    study = json.loads((tmp_path / 'out' / 'study.json').read_text(encoding='utf-8'))
    assert [one['name'] for one in study['left_out']] == ['old.json', 'bad.jpg']
    assert "bad.jpg: " in (tmp_path / 'out' / 'study.html').read_text(encoding='utf-8')


def test_records_are_kept_where_there_is_no_study_in_them(tmp_path):
    rose = two_photos(tmp_path / 'pieces' / 'rose')
    cut_off_file(rose / '2.jpg')
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out', '--jobs', 1)
    assert run.code == ExitCode.PHOTO_SET
    assert f"The records of the photos are kept: {tmp_path / 'out' / 'records'}" in run.err
    assert "There is 1 photo of each of the 1 piece(s), so nothing was repeated." in run.err
    assert names_in(tmp_path / 'out') == ['records/1.json', 'records/records.csv']


def test_no_photos(tmp_path):
    (tmp_path / 'pieces').mkdir()
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out')
    assert run.code == ExitCode.PHOTO_SET
    assert "there is no photo and no record in the folders of it" in run.err
    missing = run_grader('study', tmp_path / 'nowhere', '--out', tmp_path / 'out')
    assert missing.code == ExitCode.PHOTO_SET
    assert "there is no such folder, and no CSV file of this name. Make a folder for each piece" in missing.err


def test_one_photo_a_piece(tmp_path):
    for name in ('a', 'b'):
        (tmp_path / 'pieces' / name).mkdir(parents=True)
        piece_without_card(tmp_path / 'pieces' / name / '1.jpg')
        with (tmp_path / 'pieces' / name / '1.jpg').open('ab') as file:
            file.write(name.encode())
    run = run_grader('study', tmp_path / 'pieces', '--out', tmp_path / 'out')
    assert run.code == ExitCode.PHOTO_SET
    assert run.err == (
        "There is 1 photo of each of the 2 piece(s), so nothing was repeated. Photograph each piece at least twice, laid "
        "down anew each time; four times is better.\n"
    )
    assert not (tmp_path / 'out').exists()


def test_faulty_table(tmp_path):
    (tmp_path / 'table.csv').write_text('photo,piece\nmissing.jpg,a\n,b\n')
    run = run_grader('study', tmp_path / 'table.csv', '--out', tmp_path / 'out')
    assert run.code == ExitCode.IMPORT
    assert run.err.startswith(
        "table.csv: 2 fault(s), and nothing was examined:\n"
        "- line 2: there is no file missing.jpg in the folder of the table.\n"
        "- line 3: photo and piece are needed, and one of them is empty.\n"
    )


def test_results_are_not_put_among_the_photos(records):
    run = run_grader('study', records, '--out', records / 'out')
    assert run.code == ExitCode.SETTINGS
    assert "it lies in the folder of the study. Give a folder beside it." in run.err


def test_an_existing_folder_needs_force(records, tmp_path):
    (tmp_path / 'out').mkdir()
    assert run_grader('study', records, '--out', tmp_path / 'out').code == ExitCode.OUTPUT
    assert run_grader('study', records, '--out', tmp_path / 'out', '--force').code == ExitCode.DONE


def test_hostile_names_stay_in_the_folder(tmp_path):
    photos = two_photos(tmp_path / 'photos')
    with (tmp_path / 'table.csv').open('w', newline='', encoding='utf-8') as file:
        rows = [(f'{photos.name}/{name}', '../../=<b>', '../x') for name in ('1.jpg', '2.jpg')]
        csv.writer(file).writerows([('photo', 'piece', 'setup'), *rows])
    run = run_grader(
        'study', tmp_path / 'table.csv', '--out', tmp_path / 'deep' / 'out', '--jobs', 1, '--no-match-marks'
    )
    assert run.code == ExitCode.DONE
    assert sorted(path.name for path in tmp_path.iterdir()) == ['deep', 'photos', 'table.csv']
    assert names_in(tmp_path / 'deep' / 'out' / 'records') == ['1.json', '2.json', 'records.csv']
    assert '<b>' not in (tmp_path / 'deep' / 'out' / 'study.html').read_text(encoding='utf-8')
    again = run_grader(
        'study', tmp_path / 'deep' / 'out' / 'records' / 'records.csv', '--out', tmp_path / 'x', '--json'
    )
    assert json.loads(again.out)['pieces'] == ['../../=<b>']
