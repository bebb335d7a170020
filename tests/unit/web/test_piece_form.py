"""The form of a piece: what goes in comes out, and faults are told at their fields."""

from html import unescape

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from grader.collection.piece import MONEY_FIELDS, OWNER_FIELDS, TEXT_FIELDS, Piece
from grader.web.answer import _environment
from grader.web.piece_conflict import chosen_values, conflicts
from grader.web.piece_form import GROUPS, filled, texts_of
from tests.support.wall_pieces import form_texts

TEXTS = st.text(st.characters(blacklist_categories=('Cs',)), max_size=60)
DECIMALS = {'JPY': 0, 'EUR': 2, 'GBP': 2, 'KWD': 3}


@st.composite
def amounts(draw):
    code = draw(st.sampled_from(sorted(DECIMALS)))
    units, n = draw(st.integers(0, 10**12)), DECIMALS[code]
    digits = f'{units:0{n + 1}d}'
    return {'currency': code, 'amount': f'{digits[:-n]}.{digits[-n:]}' if n else digits}


@st.composite
def pieces(draw):
    """Pieces with any text that a piece may hold."""
    fields = {name: draw(TEXTS) for name in draw(st.sets(st.sampled_from(TEXT_FIELDS), max_size=6))}
    fields |= {name: draw(amounts()) for name in draw(st.sets(st.sampled_from(MONEY_FIELDS)))}
    try:
        return Piece.model_validate({'id': 'abcdefgh', **fields})
    except ValidationError:
        return Piece(id='abcdefgh', title="Text that may not be kept")


def as_browsers_send(texts):
    return {name: text.replace('\n', '\r\n') for name, text in texts.items()}


@settings(max_examples=300)
@given(pieces())
def test_every_field_survives_the_page_and_the_way_back(piece):
    macro = _environment.get_template('piece_fields.html').module.piece_fields
    page = str(macro(GROUPS, texts_of(piece), {}))
    found = form_texts(page)
    assert found == texts_of(piece)
    form = filled(as_browsers_send(found))
    assert form.faults == {}
    assert Piece.model_validate({**dict(piece), **form.fields}) == piece


@given(st.text())
def test_no_text_breaks_out_of_its_field(text):
    macro = _environment.get_template('piece_fields.html').module.piece_fields
    page = str(macro(GROUPS, {'title': text}, {'title': text}))
    assert unescape(page).count('</textarea>') == len(OWNER_FIELDS) + 2 * text.count('</textarea>')
    assert page.count('</textarea>') == len(OWNER_FIELDS)


def test_every_field_of_the_owner_is_in_the_form_once():
    assert [field.name for group in GROUPS for field in group.fields] == list(OWNER_FIELDS)


@pytest.mark.parametrize(
    ('field', 'text', 'words'),
    [
        ('price', '85.50', "is not an amount with its currency"),
        ('price', '85.505 GBP', "GBP has 2 decimals"),
        ('value', '1 XXQ', "is not a currency code of ISO 4217"),
        ('value', '-5 GBP', "is not an amount"),
        ('bought_when', '2023-02-30', "is not a date"),
        ('notes', 'a\x00b', "a sign that cannot be printed"),
        ('notes', 'x' * 20_001, "Has more than 20,000 signs"),
    ],
)
def test_faults_are_told_at_their_fields(field, text, words):
    form = filled({field: text})
    assert list(form.faults) == [field]
    assert words in form.faults[field]
    assert form.fields == {}
    assert form.values[field] == text


def test_money_may_be_written_either_way():
    assert str(filled({'price': 'gbp 85.5'}).fields['price']) == '85.50 GBP'


def test_a_file_that_is_sent_as_a_field_is_no_text():
    assert filled({'title': object()}).values['title'] == ''


PIECE = Piece(id='abcdefgh', title="One", maker="Two", notes="Three")


def test_conflicts_tell_who_changed_what():
    now = PIECE.with_fields({'maker': "Two b", 'notes': "Three b"})
    mine = {**texts_of(PIECE), 'title': "One a", 'notes': "Three a"}
    found = {one.name: (one.mine, one.present, one.chosen) for one in conflicts(mine, now, PIECE)}
    assert found == {
        'title': ("One a", "One", 'mine'),
        'maker': ("Two", "Two b", 'present'),
        'notes': ("Three a", "Three b", 'mine'),
    }
    assert [one.words for one in conflicts(mine, now, None)] == ["", "", ""]
    assert conflicts(texts_of(now), now, PIECE) == ()


def test_only_what_is_chosen_as_present_is_taken_from_the_piece():
    mine = {**texts_of(PIECE), 'title': "One a", 'notes': "Three a"}
    assert chosen_values({'choice-title': 'present', 'choice-notes': 'mine'}, mine, PIECE) == {
        **texts_of(PIECE), 'notes': "Three a",
    }  # fmt: skip
