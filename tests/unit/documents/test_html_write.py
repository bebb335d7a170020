"""The HTML page: the same contents as the PDF, whole by itself, without script."""

from html import escape
from html.parser import HTMLParser

from grader.documents.condition import condition_report
from grader.documents.html_write import html_of
from grader.documents.identity import document_number, texts_of
from grader.documents.owner_facts import object_facts
from tests.support.report_pages import examined_piece
from tests.unit.documents.test_condition import PIECE

_ALONE = ('meta', 'img', 'br')
_SETTINGS = {'plain', 'note', 'lead', 'dot', 'box'}


class Reader(HTMLParser):
    """Tags that are open, links to elsewhere, and text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.text: list[str] = []
        self.targets: list[str] = []
        self.without_words: list[str] = []

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        self.targets += [values[name] for name in ('src', 'href') if name in values]
        if tag == 'img' and not values.get('alt'):
            self.without_words.append(tag)
        if tag not in _ALONE:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


def test_the_page_is_whole_and_says_all():
    document = condition_report(examined_piece(4), object_facts(PIECE), '2026-03-10T10:09:00')
    page = html_of(document)
    reader = Reader()
    reader.feed(page)
    assert reader.open == []
    assert reader.targets
    assert all(target.startswith('data:image/jpeg;base64,') for target in reader.targets)
    assert reader.without_words == []
    assert '<script' not in page
    assert 'url(' not in page
    text = ' '.join(' '.join(reader.text).split())
    assert document_number(document) in text
    said = {' '.join(words.split()) for block in document.blocks for words in texts_of(block)} - _SETTINGS
    # Words for pictures stand in attributes, escaped.
    assert [words for words in sorted(said) if words not in text and escape(words) not in page] == []
