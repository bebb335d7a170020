"""piece.json: the headings, the versions and what is refused."""

import json
from pathlib import Path

import jsonschema
import pytest

from grader.collection.folder_name import folder_name, new_id
from grader.collection.folding import fold, natural_key
from grader.collection.piece import HEADINGS, OWNER_FIELDS, Piece, piece_from_json, schema_text
from grader.errors import CollectionUnreadable
from tests.support.invented_pieces import invented_fields

ROOT = Path(__file__).parents[3]
FULL = Piece.model_validate(
    {**next(invented_fields(1)), 'id': 'abcdefg2', 'photos': [{'file': 'a.jpg', 'with_scale': True}]}
)
# The categories 1.1 to 1.11 of Object ID.
OBJECT_ID = {'photos', 'type_of_object', 'measurements', 'materials_and_techniques', 'inscriptions_and_markings',
             'date_or_period', 'maker', 'subject', 'title', 'distinguishing_features', 'description'}  # fmt: skip


def test_a_piece_has_a_slot_for_each_category_of_object_id():
    fields = json.loads(Piece(id='abcdefg2').to_json())
    assert set(fields) >= OBJECT_ID
    assert set(HEADINGS) == set(OWNER_FIELDS)
    assert json.loads(FULL.to_json())['photos'][0]['with_scale'] is True


def test_text_comes_back_as_it_was():
    assert piece_from_json(FULL.to_json(), 'piece.json') == FULL


def test_the_shipped_schema_is_that_of_the_model():
    shipped = (ROOT / 'grader' / 'schemas' / 'piece_v1.schema.json').read_text(encoding='utf-8')
    assert shipped == schema_text()
    jsonschema.validate(json.loads(FULL.to_json()), json.loads(shipped))


@pytest.mark.parametrize(
    ('change', 'words'),
    [
        ({'piece_version': 2}, 'of version 2, and version 1 is needed. Use a newer grader'),
        ({'piece_version': None}, 'of version None'),
        ({'id': '../../etc'}, 'id: must be 8 of the signs'),
        ({'colour': 'blue'}, 'colour: is not a known field'),
        ({'title': 5, 'maker': 'a\x00b'}, r'title: must be text; maker: the text holds a sign .*U\+0000'),
        ({'price': {'amount': 1.5, 'currency': 'EUR'}}, 'price: the amount must be digits'),
        ({'price': {'amount': '1.50'}}, 'price.currency: is missing'),
        ({'photos': [{'file': '../x.jpg'}]}, 'photos.0.file: "../x.jpg" is not a plain file name'),
        ({'bought_when': '1968-13'}, 'bought_when: "1968-13" is not a date'),
        ({'notes': 'x' * 20_001}, 'notes: has more than 20,000 signs'),
        ({'notes': '\ud800'}, 'cannot be printed'),
    ],
)
def test_what_is_refused(change, words):
    fields = {**json.loads(FULL.to_json()), **change}
    with pytest.raises(CollectionUnreadable, match=words):
        piece_from_json(json.dumps(fields), 'p/piece.json')


@pytest.mark.parametrize('text', ['', '[]', '{', '[' * 100_000, 'null'])
def test_what_is_no_piece_at_all(text):
    with pytest.raises(CollectionUnreadable, match=r'^p/piece.json: '):
        piece_from_json(text, 'p/piece.json')


def test_text_has_one_form():
    piece = Piece(id='abcdefg2', title='  Mu\u0308ller\r\n2 ')
    assert piece.title == 'M\u00fcller\n2'


@pytest.mark.parametrize(
    ('title', 'name'),
    [
        ('Amber swirl', 'Amber swirl-abcdefg2'),
        ('../../etc/passwd', 'etc passwd-abcdefg2'),
        ('CON', 'CON-abcdefg2'),
        ('a\\b:c*d?"e<f>g|h', 'a b c d e f g h-abcdefg2'),
        ('青い花', '青い花-abcdefg2'),
        ('...', 'piece-abcdefg2'),
        ('🐚', 'piece-abcdefg2'),
        ('--force', 'force-abcdefg2'),
        ('花' * 100, '花' * 23 + '-abcdefg2'),
    ],
)
def test_folder_names(title, name):
    assert folder_name(Piece(id='abcdefg2', title=title)) == name
    assert len(name.encode()) <= 80


def test_a_new_id_is_not_taken():
    signs = iter('a' * 8 + 'b' * 8)
    assert new_id({'aaaaaaaa'}, lambda alphabet: next(signs)) == 'bbbbbbbb'


@pytest.mark.parametrize(
    ('one', 'other'),
    [('müller', 'MULLER'), ('Straße', 'STRASSE'), ('Ørsted', 'orsted'), ('Łódź', 'lodz'), ('ＡＢＣ', 'abc'), ('ΆΛΦΑ', 'αλφα'),
     ('Ё', 'е'), ('Œuvre', 'oeuvre'), ('Mu\u0308ller', 'M\u00fcller'), ('İstanbul', 'istanbul'), ('ｶﾞﾗｽ', 'ガラス')],
)  # fmt: skip
def test_folding(one, other):
    assert fold(one) == fold(other)


def test_numbers_sort_as_numbers():
    assert sorted(['10', '9', 'A 2', 'a 10', ''], key=natural_key) == ['', '9', '10', 'A 2', 'a 10']


@pytest.mark.parametrize(
    ('fields', 'words'),
    [
        ({'piece_version': 'A' * 100_000}, 'of version "AAAA'),
        ({'A' * 100_000: 1}, 'AAAA...'),
        ({f'f{k}': 1 for k in range(5000)}, 'and 4986 more'),
        ({'price': {'amount': ['9'] * 5000, 'currency': 'GBP'}}, 'amount'),
    ],
    ids=['version', 'name', 'many', 'long'],
)
def test_messages_stay_short(fields, words):
    with pytest.raises(CollectionUnreadable) as caught:
        piece_from_json(json.dumps({'piece_version': 1, 'id': 'x', **fields}), 'x/piece.json')
    assert words in str(caught.value)
    assert len(str(caught.value)) < 5000
