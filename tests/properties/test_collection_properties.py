"""What holds for any text, amount and title."""

import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st

from grader.collection.constants import MAX_FOLDER_NAME_BYTES
from grader.collection.csv_form import from_csv, guarded, to_csv, unguarded
from grader.collection.currencies import all_currencies
from grader.collection.folder_name import folder_name
from grader.collection.folding import fold
from grader.collection.history import Length
from grader.collection.history_notes import Direction, judge_lengths
from grader.collection.import_plan import plan_import
from grader.collection.json_form import from_json, to_json
from grader.collection.money import Money, money_from, totals
from grader.collection.piece import Piece, piece_from_json
from grader.report.columns import columns, width_of

TEXT = st.text(
    st.characters(exclude_categories=('Cs', 'Cc')) | st.sampled_from('\n\t=+-@\'",;\r'), max_size=30
)  # fmt: skip
CURRENCIES = st.sampled_from(sorted(all_currencies().values(), key=lambda one: one.code))


@st.composite
def money(draw):
    currency = draw(CURRENCIES)
    units = draw(st.integers(0, 10**12))
    text = str(units).rjust(currency.decimals + 1, '0')
    cut = len(text) - currency.decimals
    return Money(amount=text[:cut] + ('.' + text[cut:] if currency.decimals else ''), currency=currency.code)


@st.composite
def pieces(draw):
    return Piece(
        id=draw(st.text('23456789abcdefghjkmnpqrstuvwxyz', min_size=8, max_size=8)),
        title=draw(TEXT),
        maker=draw(TEXT),
        notes=draw(TEXT),
        inventory_number=draw(TEXT),
        price=draw(st.none() | money()),
        value=draw(st.none() | money()),
    )


def drawn(test):
    return settings(derandomize=True, deadline=None, max_examples=60)(test)


@drawn
@given(st.lists(pieces(), max_size=4, unique_by=lambda piece: piece.id))
def test_csv_and_json_come_back(some):
    for write, read in ((to_csv, from_csv), (to_json, from_json)):
        candidates, faults = read(write(some))
        plan, more = plan_import(candidates, ())
        assert (faults, more) == ((), ())
        assert list(plan.new) == some


@drawn
@given(pieces())
def test_a_piece_comes_back_from_its_file(piece):
    assert piece_from_json(piece.to_json(), 'piece.json') == piece


@drawn
@given(TEXT)
def test_no_cell_begins_like_a_formula(cell):
    assert unguarded(guarded(cell)) == cell
    assert not guarded(cell).startswith(('=', '+', '-', '@', '\t', '\n'))


@drawn
@given(TEXT)
def test_any_title_gives_a_safe_folder_name(title):
    name = folder_name(Piece(id='abcdefg2', title=title))
    assert name.endswith('-abcdefg2')
    assert not set(name) & set('/\\:*?"<>|\0\n\t')
    assert not name.startswith(('.', ' ', '-'))
    assert len(name.encode()) <= MAX_FOLDER_NAME_BYTES
    assert unicodedata.is_normalized('NFC', name)


@drawn
@given(TEXT)
def test_folding_forgets_case_and_form(text):
    assert fold(fold(text)) == fold(text)
    assert fold(unicodedata.normalize('NFD', text)) == fold(unicodedata.normalize('NFC', text))


@drawn
@given(st.lists(money(), max_size=8))
def test_money_comes_back_from_its_words_and_sums_are_exact(amounts):
    for one in amounts:
        assert money_from(f'{one.amount} {one.currency}') == one
    assert sum(total.amount for total in totals(amounts)) == sum(one.amount for one in amounts)


@drawn
@given(*[st.floats(0.01, 200)] * 2, *[st.floats(0, 5)] * 3)
def test_more_doubt_never_makes_a_change_sure(before_mm, after_mm, u1, u2, more):
    one, two = Length(before_mm, u1), Length(after_mm, u2)
    there, back = judge_lengths(one, two), judge_lengths(two, one)
    assert (there is Direction.NOT_SURE) == (back is Direction.NOT_SURE)
    wider = judge_lengths(one, Length(after_mm, u2 + more))
    assert wider in (there, Direction.NOT_SURE)


@drawn
@given(st.lists(st.tuples(TEXT, TEXT), min_size=1, max_size=5))
def test_columns_are_no_wider_than_asked_for(rows):
    assert len(columns(rows, 12)) == len(rows)
    assert all(width_of(line) <= 12 + 2 + 12 for line in columns(rows, 12))
