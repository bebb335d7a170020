"""Texts as long as the files allow: nothing is cut, and no page runs over."""

import pytest

from grader.collection.piece import Piece
from grader.documents.blocks import Column, Document, Facts, NamedHash, Points, Table, Words
from grader.documents.condition import condition_report
from grader.documents.owner_facts import object_facts
from grader.documents.pdf_write import pdf_of
from grader.documents.schedule import ScheduleEntry, ScheduleWishes, schedule_report
from tests.support.report_pages import all_text, check_pages, examined_piece

LONG = ' '.join(f'word{k}' for k in range(2200))
UNBROKEN = 'x' * 4000


def document(*blocks) -> Document:
    return Document('Report', 'XX', 'Title', '', '', NamedHash('record', '0' * 64), blocks)


@pytest.mark.parametrize(
    'block',
    [
        Words(LONG),
        Points((LONG, "short")),
        Facts((("Description", LONG), ("Short", "words"))),
        Table((Column("A", 0.5), Column("B", 0.5, is_number=True)), ((LONG, "1"), ("short", "2"))),
    ],
    ids=['words', 'points', 'facts', 'table'],
)
def test_long_words_go_on_on_the_next_page(block):
    pdf = pdf_of(document(block), 'letter')
    check_pages(pdf, 'letter')
    text = all_text(pdf)
    assert [word for word in LONG.split() if word not in text] == []


def test_a_long_title_and_description_of_a_piece():
    piece = Piece(id='23456789', title=LONG[:3000], description=LONG, maker=UNBROKEN, materials_and_techniques=LONG)
    check_pages(pdf_of(condition_report(examined_piece(1), object_facts(piece), ''), 'a4'), 'a4')
    entry = ScheduleEntry(piece, '0' * 64, None, ())
    check_pages(pdf_of(schedule_report([entry], '0' * 64, ScheduleWishes(UNBROKEN)), 'a4'), 'a4')
