"""The index: finds in any script, notices changed folders, may be deleted or damaged."""

import json
import os
import shutil

import pytest

from grader.collection.find_piece import find_piece
from grader.collection.index import index_for_reading
from grader.collection.index_file import INDEX_FILE
from grader.errors import PieceNotFound
from tests.support.collections import add, new_collection, rows, titles

PIECES = (
    {'title': 'Amber swirl', 'maker': 'Müller of Nowhere', 'inventory_number': '10', 'date_or_period': 'about 1850',
     'value': {'amount': '5', 'currency': 'EUR'}},
    {'title': 'Blue dahlia', 'maker': 'MULLER', 'inventory_number': '9', 'place_kept': 'Cabinet', 'date_or_period': '1968',
     'value': {'amount': '1200', 'currency': 'EUR'}},
    {'title': '青い花', 'notes': 'from a fair; 100 % clear_glass'},
)  # fmt: skip


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path, *PIECES)


def test_search_folds_accents_and_case_in_any_script(place):
    assert titles(place, 'müller') == titles(place, 'MULLER') == ['Blue dahlia', 'Amber swirl']
    assert titles(place, 'い花') == ['青い花']
    assert titles(place, 'mul', 'AMB') == ['Amber swirl']
    assert titles(place, 'muller', 'fair') == []
    assert titles(place, '0 % clear_') == ['青い花']
    assert titles(place, "'; DROP TABLE pieces; --") == []


@pytest.mark.parametrize(
    ('sort', 'first'),
    [('inventory', 'Blue dahlia'), ('title', 'Amber swirl'), ('period', 'Amber swirl'), ('value', 'Blue dahlia'),
     ('place', 'Blue dahlia'), ('maker', 'Blue dahlia')],
)  # fmt: skip
def test_orders(place, sort, first):
    found = titles(place, sort=sort)
    assert found[0] == first
    assert found[-1] == '青い花'


def test_values_are_exact(place):
    assert [str(row.value) for row in rows(place)] == ['1,200.00 EUR', '5.00 EUR', 'None']


def test_a_file_edited_by_hand_is_noticed(place):
    folder = place.pieces / rows(place)[0].folder
    fields = json.loads((folder / 'piece.json').read_text(encoding='utf-8'))
    (folder / 'piece.json').write_text(json.dumps({**fields, 'title': 'Blue dahliA'}), encoding='utf-8')
    assert titles(place, 'dahlia') == ['Blue dahliA']


def test_folders_that_come_and_go_are_noticed(place, tmp_path):
    assert len(rows(place)) == 3
    folder = place.pieces / rows(place)[0].folder
    shutil.move(folder, tmp_path / 'away')
    assert titles(place) == ['Amber swirl', '青い花']
    shutil.move(tmp_path / 'away', folder)
    assert len(rows(place)) == 3


@pytest.mark.parametrize('damage', [b'', b'no database at all' * 100, None], ids=['empty', 'damaged', 'deleted'])
def test_the_index_is_never_the_truth(place, damage):
    before = rows(place)
    path = place.own / INDEX_FILE
    if damage is None:
        path.unlink()
    else:
        path.write_bytes(damage)
    assert rows(place) == before


def test_a_damaged_piece_does_not_hide_the_others(place):
    folder = place.pieces / rows(place)[0].folder
    (folder / 'piece.json').write_text('{')
    (place.pieces / 'holiday pictures').mkdir()
    with index_for_reading(place, 'test') as index:
        assert len(index.rows()) == 2
        faults = index.faults()
    assert len(faults) == 2
    assert 'this is not JSON text' in faults[0] + faults[1]
    assert 'holiday pictures/piece.json: it cannot be opened' in faults[0] + faults[1]


def test_what_is_no_file_is_not_waited_for(place):
    (place.pieces / 'odd').mkdir()
    os.mkfifo(place.pieces / 'odd' / 'piece.json')
    with index_for_reading(place, 'test') as index:
        assert len(index.rows()) == 3
        assert 'odd/piece.json: this is no plain file' in index.faults()[0]


def test_a_folder_whose_name_is_no_text_is_told(place):
    os.mkdir(os.fsencode(place.pieces) + b'/odd\xff')
    with index_for_reading(place, 'test') as index:
        assert len(index.rows()) == 3
        assert r'odd\udcff/piece.json: it cannot be opened' in index.faults()[0]


def test_a_folder_copied_by_hand_is_told(place):
    row = rows(place)[0]
    shutil.copytree(place.pieces / row.folder, place.pieces / 'copy')
    with index_for_reading(place, 'test') as index:
        assert f'Folders of the same id {row.id}' in index.faults()[0]


@pytest.mark.parametrize('wanted', ['10', 'amber SWIRL', 'swirl amb', 'Äm'])
def test_a_piece_is_found_by_what_the_owner_knows(place, wanted):
    with index_for_reading(place, 'test') as index:
        assert find_piece(index, wanted).startswith('Amber swirl-')


def test_a_piece_is_found_by_its_id_or_folder(place):
    row = rows(place)[0]
    with index_for_reading(place, 'test') as index:
        assert find_piece(index, row.id) == find_piece(index, row.id[:4].upper()) == find_piece(index, row.folder)


@pytest.mark.parametrize(
    ('wanted', 'words'),
    [
        ('a', 'fits 2 pieces: '),
        ('muller', 'No piece fits'),
        ('nothing', 'No piece fits'),
        ('', 'No piece fits'),
        ('../..', 'No'),
    ],
)
def test_no_piece_or_several(place, wanted, words):
    with index_for_reading(place, 'test') as index, pytest.raises(PieceNotFound, match=words):
        find_piece(index, wanted)


def test_titles_may_be_alike(place):
    add(place, {'title': 'Amber swirl', 'inventory_number': '11'})
    with index_for_reading(place, 'test') as index:
        with pytest.raises(PieceNotFound, match='fits 2 pieces'):
            find_piece(index, 'amber swirl')
        assert find_piece(index, '11').startswith('Amber swirl-')
