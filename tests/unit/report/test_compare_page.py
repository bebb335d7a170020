"""The page: whole, self-contained, readable without sight and without script, and safe against names from files."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from grader.report.compare_page import comparison_page
from grader.report.compare_table import format_comparison
from tests.support.compared_sides import compared_of, side_of, usual_compared

VOID = {'meta', 'img', 'input', 'br'}


class Checker(HTMLParser):
    """Collects elements and checks that each is closed where it should be."""

    def __init__(self):
        super().__init__()
        self.open, self.elements, self.text = [], [], []

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text.append(data)

    def of(self, tag):
        return [attrs for one, attrs in self.elements if one == tag]


@pytest.fixture(scope='module')
def page():
    return comparison_page(usual_compared())


@pytest.fixture(scope='module')
def parsed(page):
    checker = Checker()
    checker.feed(page)
    assert checker.open == []
    return checker


def test_nothing_is_fetched(page, parsed):
    assert all(image['src'].startswith('data:image/jpeg;base64,') for image in parsed.of('img'))
    assert parsed.of('link') == [] and parsed.of('iframe') == []
    assert 'src' not in parsed.of('script')[0]
    without_pictures = re.sub(r'data:image/jpeg;base64,[A-Za-z0-9+/=]+', '', page)
    assert 'http://' not in without_pictures and 'https://' not in without_pictures
    assert 'url(' not in without_pictures and '@import' not in without_pictures
    policy = next(one['content'] for one in parsed.of('meta') if one.get('http-equiv') == 'Content-Security-Policy')
    assert policy.startswith("default-src 'none'; img-src data:;")


def test_it_is_not_too_large(page):
    assert len(page) < 4_000_000


def test_pictures_have_words_and_controls_have_names(parsed):
    assert all(len(image['alt']) > 10 for image in parsed.of('img'))
    ids = {attrs.get('id') for _, attrs in parsed.elements}
    assert {'earlier', 'later', 'share', 'b-in', 'b-out', 'b-whole', 'marks', 'b-blink', 'told', 'edge'} <= ids
    assert all(button['type'] == 'button' for button in parsed.of('button'))
    assert parsed.of('html')[0]['lang'] == 'en'
    assert [tag for tag, _ in parsed.elements].count('h1') == 1


def test_each_id_of_the_script_is_in_the_page(page, parsed):
    ids = {attrs.get('id') for _, attrs in parsed.elements}
    assert set(re.findall(r"getElementById\('([^']+)'\)", page)) <= ids


def test_links_lead_somewhere(parsed):
    ids = {attrs.get('id') for _, attrs in parsed.elements}
    targets = [link['href'] for link in parsed.of('a')]
    assert targets
    assert all(target[0] == '#' and target[1:] in ids for target in targets)


def test_without_script_and_on_paper_both_photos_show(page):
    # The pictures lie over each other only under the class that the script sets.
    style = page.partition('<style>')[2].partition('</style>')[0]
    over = [line for line in style.splitlines() if 'position: absolute' in line and '.cmp-stack' in line]
    assert over and all(line.strip().startswith('.cmp-live') for line in over)
    assert 'cmp-live"' not in page
    assert '.cmp-edge { display: none; }' in style
    paper = style.partition('@media print')[2]
    assert 'clip-path: none !important' in paper


def test_it_says_what_the_comparison_says(parsed):
    text = ' '.join(' '.join(parsed.text).split())
    comparison = usual_compared().comparison
    for sentence in comparison.summary:
        assert sentence in text
    assert "Could it have been seen in the earlier photos?" in text
    assert "Yes, and it was not there" in text
    assert comparison.before.photos[0].photo.sha256 in text


def test_names_from_files_are_escaped():
    usual = side_of(0)
    photo = usual.photos[0]
    view = replace(
        photo.findings.view, photo=replace(photo.findings.view.photo, name='<script>alert(1)</script>&".jpg')
    )
    evil = replace(photo, findings=replace(photo.findings, view=view))
    page = comparison_page(compared_of(before=replace(usual, photos=(evil,), record_name='<b>.json')))
    assert '<script>alert' not in page and '<b>.json' not in page
    assert '&lt;script&gt;alert(1)' in page


def test_two_pieces_have_a_page_too():
    page = comparison_page(compared_of(verdict='another piece'))
    assert "Two pieces: no change is told." in page
    assert "Could it have been seen" not in page


def test_the_page_is_the_same_each_time(page):
    assert comparison_page(usual_compared()) == page


def test_the_table_is_short_and_says_the_same():
    comparison = usual_compared().comparison
    table = format_comparison(comparison)
    assert table.startswith("The same piece; 1 new mark of damage\n----")
    assert max(len(line) for line in table.splitlines()) <= 110
    for sentence in comparison.summary:
        assert sentence in ' '.join(table.split())
    assert [line.split()[0] for line in table.partition('No.')[2].splitlines()[1:] if line] == ['1', '2', '3', '4']
