"""Names in many scripts are right, and what cannot be shown is told."""

import unicodedata

import pytest

from grader.documents.blocks import Document, NamedHash, Words
from grader.documents.html_write import html_of
from grader.documents.pdf_write import pdf_of
from grader.documents.typefaces import codes_of, not_drawn, runs_of
from tests.support.report_pages import all_text, check_pages

NAMES = ['Çağlar Ünlüoğlu', 'Łódź, Ždiar, Győr', 'Þórarinn Ðæ', 'Nguyễn Thị Ngọc', 'Ελλάδα, ὕαλος', 'Хрусталь, скло',
         'შუშა', 'Ապակի', '硝子工房', '琉璃', '玻璃', '유리 공예', '€ £ ¥ ₹ ₽', 'L’œuvre «verre» – „Glas“']  # fmt: skip


def document(*words: str) -> Document:
    blocks = tuple(Words(one) for one in words)
    return Document('Report', 'XX', words[0], '', '', NamedHash('record', '0' * 64), blocks)


@pytest.mark.parametrize('name', NAMES)
def test_names_are_drawn_as_they_are(name):
    assert not_drawn([name]) == ()
    pdf = pdf_of(document(name, unicodedata.normalize('NFD', name)), 'a4')
    check_pages(pdf, 'a4')
    # NFC: the reader of the PDF gives the signs of its own choice for some accents.
    text = unicodedata.normalize('NFC', all_text(pdf))
    assert text.count(name) >= 3


@pytest.mark.parametrize(
    ('name', 'code'), [('שלום', 'U+05E9'), ('ไทย', 'U+0E44'), ('भारत', 'U+092D'), ('🏺', 'U+1F3FA')]
)
def test_what_no_face_holds_is_boxed_and_listed(name, code):
    pdf = pdf_of(document(f'Glass {name}.'), 'a4')
    check_pages(pdf, 'a4')
    text = all_text(pdf)
    assert f'Glass {"▯" * len(name)}.' in text
    assert "Signs that these pages cannot show" in text
    assert code in text
    assert name in html_of(document(f'Glass {name}.'))


def test_no_list_of_signs_where_none_is_missing():
    assert "Signs that these pages cannot show" not in all_text(pdf_of(document('Glas'), 'a4'))


def test_runs_keep_all_signs_in_their_order():
    text = 'Glas 玻璃 שלום end'
    assert ''.join(run.text for run in runs_of(text)) == text
    assert [run.face for run in runs_of(text)] == ['own', 'east', 'own', 'none', 'own']


def test_codes_name_each_sign():
    assert codes_of('שa') == "U+05E9 HEBREW LETTER SHIN, U+0061 LATIN SMALL LETTER A"


def test_markup_in_names_is_text():
    pdf = pdf_of(document('<b>& "Glas" </font>'), 'a4')
    assert '<b>& "Glas" </font>' in all_text(pdf)
    assert '&lt;b&gt;&amp;' in html_of(document('<b>& "Glas" </font>'))
