"""The schedule: exact totals, nothing left out, whole pages."""

from decimal import Decimal

import pytest

from grader.collection.piece import Piece
from grader.documents.blocks import Table
from grader.documents.pdf_write import pdf_of
from grader.documents.pictures import picture_of
from grader.documents.schedule import ScheduleEntry, ScheduleWishes, schedule_report, totals_part
from tests.support.report_pages import all_text, check_pages, photo_array

IDS = '23456789abcdefghjkmnpqrstuvwxyz'


def piece(number: int, **fields: object) -> Piece:
    return Piece(id=f'2222{IDS[number // 31 % 31]}{IDS[number % 31]}22', title=f'Piece {number}', **fields)


def entries(n: int) -> list[ScheduleEntry]:
    pictures = [picture_of(photo_array(90, 60 + 20 * k), 'a photo') for k in range(3)]
    return [
        ScheduleEntry(
            piece(k, value={'amount': '10.10', 'currency': ('EUR', 'GBP')[k % 2]}, maker='Dílna ' * (k % 9)),
            f'{k:064x}',
            pictures[k % 3] if k % 4 else None,
            ("width 71.03 mm ± 0.62 mm", "Lightly marked; 86 of 100", "examined 2026-03-10") if k % 3 else (),
        )
        for k in range(n)
    ]


@pytest.mark.parametrize('n', [0, 1, 45])
@pytest.mark.parametrize('paper', ['a4', 'letter'])
def test_pages_are_whole(n, paper):
    report = schedule_report(entries(n), '0' * 64, ScheduleWishes('J. Doležalová', True, '2026-03-10'))
    check_pages(pdf_of(report, paper), paper)


def test_each_piece_has_a_row_and_a_hash():
    text = all_text(pdf_of(schedule_report(entries(45), '0' * 64, ScheduleWishes()), 'a4'))
    for k in range(45):
        assert f'Piece {k} ' in text
        assert f'{k:064x}' in text.replace(' ', '')


def test_totals_are_exact_and_never_mix_currencies():
    pieces = [piece(k, value={'amount': '0.10', 'currency': 'EUR'}) for k in range(3)]
    pieces += [piece(3, value={'amount': '9999999999999', 'currency': 'JPY'}), piece(4)]
    pieces += [piece(5, price={'amount': '85.50', 'currency': 'GBP'}, value={'amount': '0.70', 'currency': 'EUR'})]
    pieces += [piece(6, price={'amount': '12.25', 'currency': 'GBP'})]
    table, words = totals_part(pieces)
    assert isinstance(table, Table)
    assert table.rows == (
        ("Values, EUR", "4", "1.00 EUR"),
        ("Values, JPY", "1", "9,999,999,999,999 JPY"),
        ("Paid, for pieces without a value, GBP", "1", "12.25 GBP"),
    )
    assert Decimal('0.10') * 3 + Decimal('0.70') == Decimal('1.00')
    assert "1 piece has neither value nor price." in str(words)


def test_places_are_told_only_on_wish():
    one = [ScheduleEntry(piece(1, place_kept='the safe', notes='secret'), '1' * 64, None, ())]
    for wish in (False, True):
        text = all_text(pdf_of(schedule_report(one, '0' * 64, ScheduleWishes(with_places=wish)), 'a4'))
        assert ('the safe' in text) is wish
        assert 'secret' not in text


def test_same_input_same_bytes():
    one, two = (pdf_of(schedule_report(entries(5), '0' * 64, ScheduleWishes()), 'a4') for _ in range(2))
    assert one == two
