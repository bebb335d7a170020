"""CSV and JSON: what goes out comes back, formulas are harmless, faults are listed by line."""

import csv
import io
import json

import pytest

from grader.collection.csv_form import CSV_COLUMNS, from_csv, guarded, to_csv, unguarded
from grader.collection.import_faults import Candidate
from grader.collection.import_plan import carry_out, plan_import
from grader.collection.json_form import from_json, to_json
from grader.collection.lock import locked
from grader.collection.piece import Piece
from grader.collection.piece_folder import StoredPiece, read_piece
from tests.support.collections import add, new_collection, titles
from tests.support.invented_pieces import invented_fields

PIECES = [Piece.model_validate({**fields, 'id': f'aaaaaaa{k}'}) for k, fields in enumerate(invented_fields(8), start=2)]
FORMULAS = [
    '=1+1',
    '+1',
    '-1',
    '@sum',
    '＝1',
    "'",
    "''",
    "'=1",
    '-',
    'plain',
    "o'clock",
    '"',
    'a,b',
    'a\nb',
    '\u200f=1',
]


def imported(text, read=from_csv, stored=()):
    candidates, faults = read(text)
    plan, more = plan_import(candidates, stored)
    return plan, (*faults, *more)


@pytest.mark.parametrize(('write', 'read'), [(to_csv, from_csv), (to_json, from_json)], ids=['csv', 'json'])
def test_pieces_come_back_as_they_were(write, read):
    plan, faults = imported(write(PIECES), read)
    assert faults == ()
    assert list(plan.new) == PIECES
    again = [StoredPiece(piece, None) for piece in PIECES]
    plan, faults = imported(write(PIECES), read, again)
    assert (faults, plan.new, plan.changed, plan.n_same) == ((), (), (), 8)


def test_csv_is_that_of_rfc_4180():
    text = to_csv(PIECES)
    assert text.startswith('id,title,type_of_object,maker,')
    assert text.count('\r\n') == 9
    rows = list(csv.reader(io.StringIO(text, newline='')))
    assert rows[0] == list(CSV_COLUMNS)
    assert {len(row) for row in rows} == {len(CSV_COLUMNS)}


@pytest.mark.parametrize('cell', FORMULAS)
def test_formulas_are_guarded_and_come_back(cell):
    assert not guarded(cell).startswith(('=', '+', '-', '@', '＝'))
    assert unguarded(guarded(cell)) == cell
    piece = Piece(id='aaaaaaa2', notes=cell)
    plan, faults = imported(to_csv([piece]))
    assert (plan.new, faults) == ((piece,), ())


def test_a_table_of_another_program_is_read():
    text = '\ufeffmaker,title\nGlasshouse Nowhere,"Amber\nswirl"\n\n,\nHütte Müllerstal,Blue\n'
    plan, faults = imported(text)
    assert faults == ()
    assert [(piece.maker, piece.title) for piece in plan.new] == [
        ('Glasshouse Nowhere', 'Amber\nswirl'),
        ('Hütte Müllerstal', 'Blue'),
    ]


@pytest.mark.parametrize('sign', [';', '\t'])
def test_tables_as_some_spreadsheets_write_them(sign):
    text = f'Title{sign}Place kept{sign}Price{sign}price_currency\r\nBlue, old{sign}box{sign}85.50{sign}GBP\r\n'
    plan, faults = imported(text)
    assert faults == ()
    assert [(one.title, one.place_kept, str(one.price)) for one in plan.new] == [('Blue, old', 'box', '85.50 GBP')]


def test_all_faults_are_listed_with_their_lines():
    text = (
        'id,title,bought_when,price,price_currency\n'
        ',"two\nlines",1968-13,,\n'
        '../x,b,,1.005,EUR\n'
        'aaaaaaa2,c,,,\n'
        'aaaaaaa2,d,,5,\n'
        'aaaaaaa2,e,,,\n'
        ',f\n'
    )
    _, faults = imported(text)
    assert [(line, words.split(':')[0].split(',')[0]) for line, words in sorted(faults)] == [
        (2, 'bought_when'),
        (4, 'id'),
        (4, 'price'),
        (6, 'price.currency'),
        (7, 'line 5 is of the same piece (aaaaaaa2)'),
        (8, 'there are 2 cells'),
    ]


@pytest.mark.parametrize(
    ('text', 'fault'),
    [
        ('', (1, 'there is no header')),
        ('title,colour\n', (1, 'the column "colour" is not known')),
        ('title,title\n', (1, 'the column "title" is there twice')),
        ('title\n"open', (2, 'the table cannot be read from here on')),
        ('title\n"a"b\n', (2, 'the table cannot be read from here on')),
    ],
)
def test_tables_that_are_none(text, fault):
    _, faults = imported(text)
    assert faults[0][0] == fault[0]
    assert fault[1] in faults[0][1]


@pytest.mark.parametrize(
    ('text', 'line', 'words'),
    [
        ('{\n"pieces": [}', 2, 'not JSON text'),
        ('[]', 1, 'no list "pieces"'),
        ('{"export_version": 2, "pieces": []}', 1, 'of version 2'),
        ('{"export_version": 1, "x": {"pieces": [1]},\n "pieces": [\n{"title": "a"},\n7]}', 4, 'is no piece'),
        ('{"export_version": 1, "pieces": [{},\n\n{"piece_version": 9}]}', 3, 'of version 9'),
        ('{"export_version": 1, "pieces": [\n{"titel": "a"}]}', 2, 'titel: is not a known field'),
        ('[' * 100_000, 1, 'nested too deeply'),
        ('{"export_version": ' + '9' * 5000 + '}', 1, 'too many digits'),
    ],
)
def test_json_faults_have_lines(text, line, words):
    _, faults = imported(text, from_json)
    assert faults[0][0] == line
    assert words in faults[0][1]


def test_photos_are_named_only_and_paths_in_them_do_nothing():
    text = json.dumps({'export_version': 1, 'pieces': [{'title': 'a', 'photos': [{'file': '../../x'}]}]})
    plan, faults = imported(text, from_json)
    assert (faults, plan.n_photos_left, plan.new[0].photos) == ((), 1, ())


def test_empty_cells_change_nothing_and_what_is_replaced_is_kept(tmp_path):
    place = new_collection(tmp_path, {'title': 'Blue', 'inventory_number': '7', 'notes': 'keep me', 'maker': 'X'})
    folder = next(place.pieces.iterdir())
    plan, faults = imported('inventory_number,maker,notes\n7,Y,\n', stored=[read_piece(folder)])
    assert faults == ()
    assert [(one.heading, one.before, one.after) for one in plan.changed[0].fields()] == [('Maker', 'X', 'Y')]
    with locked(place, 'test'):
        carry_out(place, plan)
    after = read_piece(folder).piece
    assert (after.maker, after.notes, after.title) == ('Y', 'keep me', 'Blue')
    assert json.loads((folder / 'earlier' / 'piece-0001.json').read_text(encoding='utf-8'))['maker'] == 'X'


def test_a_file_without_ids_imported_twice_adds_nothing(tmp_path):
    place = new_collection(tmp_path, {'title': 'Blue'})
    stored = [read_piece(folder) for folder in place.pieces.iterdir()]
    plan, _ = imported('title\nBlue\nGreen\n', stored=stored)
    assert ([piece.title for piece in plan.new], plan.n_same) == (['Green'], 1)


def test_a_number_that_two_pieces_have_needs_an_id(tmp_path):
    place = new_collection(tmp_path, {'title': 'a', 'inventory_number': '7'})
    add(place, {'title': 'b', 'inventory_number': '7'})
    stored = [read_piece(folder) for folder in place.pieces.iterdir()]
    _, faults = plan_import([Candidate(2, {'inventory_number': '7', 'maker': 'Y'})], stored)
    assert faults == ((2, '2 pieces have the inventory number 7: give the id'),)
    assert titles(place) == ['a', 'b']
