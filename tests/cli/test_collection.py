"""The commands of a collection: files, words, exit codes, and the faults that a disk has."""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from grader.collection.lock import locked
from grader.collection.place import CollectionPlace
from grader.exit_codes import ExitCode
from tests.support.run_grader import ROOT, run_as_process, run_grader
from tests.support.sample_record import sample_record


@pytest.fixture
def glass(tmp_path, monkeypatch):
    """Collection with two pieces, named in the environment."""
    monkeypatch.setenv('GRADER_COLLECTION', str(tmp_path / 'glass'))
    assert run_grader('collection', 'create', tmp_path / 'glass').code == 0
    grade('add', '--set', 'title=Amber swirl', '--set', 'maker=Müller of Nowhere', '--set', 'price=85.5 GBP')
    grade('add', '--set', 'title=青い花', '--set', 'inventory-number=7', '--set', 'value=150000 JPY')
    return tmp_path / 'glass'


def grade(*args, code=ExitCode.DONE):
    run = run_grader('collection', *args)
    assert run.code == code, run.err
    return run


def examination(folder, **changes):
    folder.mkdir()
    (folder / 'record.json').write_text(sample_record(**changes).to_json(), encoding='utf-8')
    return folder


def test_help_lists_the_commands_and_needs_none_of_the_libraries():
    code = (
        'import sys, grader.cli as cli\n'
        "try: cli.app(['collection', '--help'])\n"
        'except SystemExit: pass\n'
        "print({'cv2', 'numpy', 'sqlite3'} & set(sys.modules))"
    )
    run = subprocess.run([sys.executable, '-c', code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert run.stdout.endswith('set()\n')
    assert 'add-examination  Store an examination' in run.stdout


def test_list_and_search_say_which_collection(glass):
    run = grade('list')
    assert run.err == f'Collection: {glass} (GRADER_COLLECTION)\n'
    assert run.out.splitlines()[1].split()[1:] == ['7', '青い花', '150,000', 'JPY']
    assert run.out.endswith('2 pieces; values of 1 of them: 150,000 JPY\n')
    run = grade('search', 'MULLER', '--json', '--collection', glass)
    assert run.err == f'Collection: {glass} (--collection)\n'
    assert [piece['title'] for piece in json.loads(run.out)] == ['Amber swirl']
    assert grade('search', 'nothing').out == 'No pieces.\n'


def test_the_folder_itself_is_a_default(glass, monkeypatch):
    monkeypatch.delenv('GRADER_COLLECTION')
    monkeypatch.chdir(glass)
    assert '(this folder)' in grade('list').err
    monkeypatch.chdir(glass.parent)
    assert 'No collection is named. Name its folder' in grade('list', code=ExitCode.NOT_IN_COLLECTION).err


def test_show_tells_headings_and_what_is_missing(glass):
    run = grade('show', 'amber')
    assert 'Maker                      Müller of Nowhere' in run.out
    assert 'Price                      85.50 GBP' in run.out
    assert 'Not filled in yet, of what Object ID asks for: type of object' in run.out
    assert json.loads(grade('show', '7', '--json').out)['value'] == {'amount': '150000', 'currency': 'JPY'}


def test_edit(glass, tmp_path):
    (tmp_path / 'IMG.JPG').write_bytes(b'photo')
    assert grade('edit', '7', '--set', 'notes=a = b', '--photo-with-scale', tmp_path / 'IMG.JPG').out.startswith(
        'Changed'
    )
    piece = json.loads(grade('show', '7', '--json').out)
    assert (piece['notes'], piece['photos'][0]['with_scale']) == ('a = b', True)
    assert grade('edit', '7', '--set', 'notes=a = b').out == 'Nothing was to be changed.\n'
    grade('edit', '7', '--set', 'value=')
    assert json.loads(grade('show', '7', '--json').out)['value'] is None


@pytest.mark.parametrize(
    ('args', 'words'),
    [
        (('edit', '7', '--set', 'titel=x'), '"titel" is not a field'),
        (
            ('edit', '7', '--set', 'price=1.005 EUR'),
            'EUR has 2 decimals, and 1.005 has more. Write it as "1250.00 EUR"',
        ),
        (('edit', '7', '--set', 'price=5 XXX'), 'is not a currency code'),
        (('edit', '7', '--set', 'title=a', '--set', 'title=b'), 'given twice'),
        (('edit', '7', '--photo', 'no.jpg'), 'there is no such photo'),
        (('add',), 'Nothing is said of the piece'),
        (('list', '--sort', 'colour'), 'there is no such order'),
        (('export', 'x.txt'), 'must end in .csv or .json'),
    ],
)
def test_options_that_do_not_fit(glass, args, words):
    assert words in grade(*args, code=ExitCode.SETTINGS).err


def test_import_shows_what_would_change_first(glass, tmp_path):
    table = tmp_path / 'more.csv'
    table.write_text('inventory_number,title,maker\n7,,Keinort\n8,New one,\n', encoding='utf-8')
    before = grade('list').out
    run = grade('import', table, '--dry-run')
    assert 'New: New one (' in run.out
    assert '  Maker: "" becomes "Keinort"' in run.out
    assert run.out.endswith('Nothing was changed yet. It would be: 1 new, 1 changed, 0 the same.\n')
    assert grade('list').out == before
    assert grade('import', table).out.endswith('Imported: 1 new, 1 changed, 0 the same.\n')
    assert grade('import', table).out.endswith('Imported: 0 new, 0 changed, 2 the same.\n')


def test_import_lists_all_faults_and_imports_nothing(glass, tmp_path):
    table = tmp_path / 'bad.csv'
    table.write_text('title,price,price_currency\nok,,\n,5,EURO\nx,1.005,EUR\n', encoding='utf-8')
    before = grade('list').out
    err = grade('import', table, code=ExitCode.IMPORT).err
    assert 'bad.csv: 2 fault(s), and nothing was imported:\n- line 3: price: "EURO" is not a currency' in err
    assert '- line 4: price: EUR has 2 decimals' in err
    assert grade('list').out == before
    table.write_bytes(b'title\nM\xfcller\n')
    assert 'line 2 is not UTF-8 text' in grade('import', table, code=ExitCode.IMPORT).err
    assert 'it cannot be opened' in grade('import', tmp_path / 'no.csv', code=ExitCode.IMPORT).err


@pytest.mark.parametrize('form', ['csv', 'json'])
def test_export_into_another_collection_comes_back_the_same(glass, tmp_path, form):
    grade('export', tmp_path / f'a.{form}')
    grade('create', tmp_path / 'other')
    grade('import', tmp_path / f'a.{form}', '--collection', tmp_path / 'other')
    grade('export', tmp_path / f'b.{form}', '--collection', tmp_path / 'other')
    assert (tmp_path / f'a.{form}').read_bytes() == (tmp_path / f'b.{form}').read_bytes()
    assert 'exists already' in grade('export', tmp_path / f'a.{form}', code=ExitCode.OUTPUT).err
    grade('export', tmp_path / f'a.{form}', '--bom', '--force')
    assert grade('import', tmp_path / f'a.{form}').out.endswith('2 the same.\n')


def test_remove_and_reindex(glass):
    assert grade('remove', '7').out.startswith(f'Moved to: {glass}/trash/20')
    assert 'No piece fits "7"' in grade('remove', '7', code=ExitCode.NOT_IN_COLLECTION).err
    assert grade('reindex').out == '1 piece(s) are in the new index.\n'


def test_examinations_and_history(glass, tmp_path):
    for k, day in enumerate(('2024-05-01', '2026-03-10')):
        source = examination(tmp_path / str(k), made_at=f'{day}T10:00:00')
        run = grade('add-examination', '7', source)
        assert run.out.startswith(f'Stored: {glass}/pieces/青い花-')
        assert run.out.endswith(f'/examinations/000{k + 1}-{day}\n')
        assert 'the examined photo a.jpg is not stored with it' in run.err
    run = run_grader('history', '7', '--plot', tmp_path / 'h.svg')
    assert (run.code, run.out.count('71.03 ± 0.62')) == (ExitCode.DONE, 2)
    assert 'Not surely changed: largest width, smallest width.' in run.out
    assert (tmp_path / 'h.svg').read_text(encoding='utf-8').startswith('<svg ')
    run = run_grader('history', '7', '--json')
    assert [one['name'] for one in json.loads(run.out)['examinations']] == ['0001-2024-05-01', '0002-2026-03-10']
    assert 'No examination is stored yet' in run_grader('history', 'amber').out


def test_an_examination_of_a_newer_program_is_told_and_the_others_are_shown(glass, tmp_path):
    grade('add-examination', '7', examination(tmp_path / 'x'))
    record = next(glass.glob('pieces/*/examinations/0001/record.json'))
    shutil.copytree(record.parent, record.parent.with_name('0002'))
    (record.parent.with_name('0002') / 'record.json').write_text('{"record_version": 9}')
    run = run_grader('history', '7')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert '0002: record.json: the record is of version 9' in run.err
    assert '71.03' in run.out


def test_a_damaged_piece_is_told_and_the_others_are_listed(glass):
    path = next(glass.glob('pieces/Amber*/piece.json'))
    path.write_text(
        path.read_text(encoding='utf-8').replace('"piece_version": 1', '"piece_version": 2'), encoding='utf-8'
    )
    run = grade('list', code=ExitCode.FILE_UNREADABLE)
    assert '青い花' in run.out
    assert "the piece's file is of version 2, and version 1 is needed. Use a newer grader" in run.err
    assert 'none is left out' in grade('export', glass.parent / 'x.csv', code=ExitCode.FILE_UNREADABLE).err


def test_a_busy_collection(glass):
    with locked(CollectionPlace(glass), 'import'):
        run = run_as_process('collection', 'list', GRADER_COLLECTION=str(glass))
    assert run.code == ExitCode.COLLECTION_BUSY
    assert f'another program is changing the collection (import, process {os.getpid()} on ' in run.err


def test_a_full_disk_leaves_all_as_it_was(glass, tmp_path):
    (tmp_path / 'IMG.JPG').write_bytes(bytes(300_000))
    before = sorted(str(path) for path in (glass / 'pieces').rglob('*'))
    run = run_as_process('collection', 'edit', '7', '--photo', tmp_path / 'IMG.JPG', max_file_bytes=200_000)
    assert run.code == ExitCode.OUTPUT, run.err
    assert 'it cannot be written (File too large). Check that there is room' in run.err
    assert sorted(str(path) for path in (glass / 'pieces').rglob('*')) == before
    assert list((glass / '.grader' / 'work').iterdir()) == []


def test_a_disk_too_full_for_the_index_can_be_read(glass):
    (glass / '.grader' / 'index.sqlite').unlink()
    run = run_as_process('collection', 'list', max_file_bytes=1000)
    assert (run.code, run.out.count('JPY')) == (ExitCode.DONE, 2), run.err


_AS_ANOTHER_USER = """
import os, sys
from grader.cli import app
from grader.collection.currencies import all_currencies
from grader.commands.collection import pieces, reading
all_currencies()
if os.geteuid() == 0:
    os.seteuid(65534)
app(sys.argv[1:])
"""


def test_a_read_only_collection_can_be_read(glass):
    """As a backup that another user owns; run as such a user where this is the administrator, whom no mode stops."""
    with tempfile.TemporaryDirectory() as folder:
        backup = shutil.copytree(glass, Path(folder) / 'backup')
        (backup / '.grader' / 'index.sqlite').unlink()
        for path in [Path(folder), backup, *backup.rglob('*')]:
            path.chmod(0o555 if path.is_dir() else 0o444)
        runs = [
            subprocess.run(
                [sys.executable, '-c', _AS_ANOTHER_USER, 'collection', *args, '--collection', backup],
                capture_output=True,
                text=True,
                cwd=ROOT,
            )
            for args in (('search', 'muller'), ('edit', '7', '--set', 'notes=x'))
        ]
        for path in [Path(folder), backup, *backup.rglob('*')]:
            path.chmod(0o755 if path.is_dir() else 0o644)
    assert 'Amber swirl' in runs[0].stdout, runs[0].stderr
    assert runs[1].returncode == ExitCode.OUTPUT
    assert 'it cannot be written' in runs[1].stderr
