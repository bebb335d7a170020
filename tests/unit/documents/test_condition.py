"""The condition report: its parts, their order, and pages on which nothing is cut or lies over another."""

import pytest

from grader.collection.piece import Piece
from grader.documents.blocks import Cards, Heading, Table
from grader.documents.condition import condition_report
from grader.documents.identity import document_number
from grader.documents.owner_facts import object_facts
from grader.documents.pdf_write import pdf_of
from grader.record import Measurements
from tests.support.report_pages import all_text, check_pages, examined_piece, pages_of
from tests.support.sample_record import sample_findings

LONG = 'Sehr-langer-Name-ohne-Ende-' * 12
PIECE = Piece(
    id='23456789',
    title='Zvířata pod sněhem, Σκιά και φως, ガラスの庭',
    maker='Мастерская у реки, 玻璃工坊',
    type_of_object='Paperweight',
    bought_from='a private seller',
    price={'amount': '1250.00', 'currency': 'EUR'},
    place_kept='the safe',
    notes='not for others',
)


def test_headings_stand_in_the_order_of_the_standards():
    report = condition_report(examined_piece(), None, '')
    firsts = [block.words for block in report.blocks if isinstance(block, Heading) and block.level == 1]
    assert firsts == [
        "The object",
        "Measurements",
        "Condition",
        "What could not be seen",
        "Photographs",
        "How it was examined",
        "What this report is, and what it is not",
        "Appendix: the files behind this report",
    ]


@pytest.mark.parametrize('paper', ['a4', 'letter'])
@pytest.mark.parametrize(
    ('n_marks', 'size', 'name'),
    [(0, (320, 320), 'a.jpg'), (3, (260, 420), f'{LONG}.jpg'), (40, (480, 300), 'ガラス.jpg')],
    ids=['no marks', 'portrait, long name', '40 marks, landscape'],
)
def test_pages_are_whole(paper, n_marks, size, name):
    examined = examined_piece(n_marks, size, name)
    check_pages(pdf_of(condition_report(examined, object_facts(PIECE), '2026-03-10T10:09:00'), paper), paper)


def test_pages_without_a_card_are_whole():
    sizes = Measurements(
        diameter_max_px=243.2, diameter_min_px=241.0, max_direction_deg=0.0, min_direction_deg=90.0, ring_source="none"
    )
    bare = {'length_mm': None, 'u_length_mm': None, 'diameter_mm': None, 'u_diameter_mm': None}
    marks = tuple(mark.model_copy(update=bare) for mark in examined_piece().record.marks)
    pdf = pdf_of(condition_report(examined_piece(measurements=sizes, marks=marks), None, ''), 'a4')
    check_pages(pdf, 'a4')
    assert "so no millimetres can be told" in all_text(pdf)


def test_each_listed_mark_has_a_row_and_a_close_up():
    report = condition_report(examined_piece(7), None, '')
    tables = [block for block in report.blocks if isinstance(block, Table) and block.columns[0].heading == "No."]
    close_ups = next(block for block in report.blocks if isinstance(block, Cards))
    assert [row[0] for row in tables[0].rows] == [str(k) for k in range(1, 8)]
    assert [card.title.split()[0] for card in close_ups.cards] == [str(k) for k in range(1, 8)]


def test_possible_marks_stand_apart_and_doubtful_ones_are_left_out():
    marks = examined_piece(3).record.marks
    told = [mark.model_copy(update={'confidence': sure}) for mark, sure in zip(marks, (0.9, 0.4, 0.1), strict=True)]
    report = condition_report(examined_piece(marks=tuple(told)), None, '')
    tables = [block for block in report.blocks if isinstance(block, Table) and block.columns[0].heading == "No."]
    assert [[row[0] for row in table.rows] for table in tables] == [['1'], ['2']]


def test_what_is_the_owners_own_stays_out():
    text = all_text(pdf_of(condition_report(examined_piece(), object_facts(PIECE), ''), 'a4'))
    for told in ('Zvířata pod sněhem', 'ガラスの庭', 'Мастерская у реки', '玻璃工坊', 'Σκιά και φως'):
        assert told in text
    for own in ('private seller', '1250', 'safe', 'not for others'):
        assert own not in text


def test_same_input_same_bytes_and_number():
    examined = examined_piece(5)
    one, two = (condition_report(examined, None, '2026-03-10T10:09:00') for _ in range(2))
    assert pdf_of(one, 'a4') == pdf_of(two, 'a4')
    assert document_number(one) == document_number(two)
    assert document_number(condition_report(examined, None, '')) != document_number(one)


def test_hashes_stand_on_each_page_and_whole_in_the_appendix():
    examined = examined_piece()
    pdf = pdf_of(condition_report(examined, None, ''), 'a4')
    assert all(f'record SHA-256 {examined.record_sha256[:16]}' in page.get_text() for page in pages_of(pdf))
    text = all_text(pdf).replace(' ', '')
    assert examined.record_sha256 in text
    assert examined.photos[0].sha256 in text


def test_photos_must_be_those_of_the_record():
    examined = examined_piece()
    with pytest.raises(ValueError, match='not those of the record'):
        type(examined)(examined.record, examined.record_sha256, ())


def test_nothing_unseen_is_no_claim_of_clean_glass():
    findings = sample_findings()
    text = all_text(pdf_of(condition_report(examined_piece(0, unseen=(), flags=findings.flags), None, ''), 'a4'))
    assert "No mark was found where the photos show the glass." in text
    assert "The base was not photographed by itself" in text
