"""The wall and a piece in a real browser: search while typing, more pieces while scrolling, two tabs, hostile text."""

import pytest

from grader.collection.piece_folder import read_piece
from grader.web.app import create_app
from grader.web.desk import Desk
from tests.support.collections import add, new_collection, rows
from tests.support.examined_pieces import import_pieces
from tests.support.wall_pieces import HOSTILE


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path, {'title': "Amber swirl", 'maker': "Hütte Müllerstal"}, {'title': "Blue dahlia"})


@pytest.fixture
def address(place, serve):
    return serve(lambda port: create_app(Desk(place.root, port=port)))


def piece_named(place, title):
    return next(row for row in rows(place) if row.title == title)


def names(page):
    return page.locator('.shelf .name').all_inner_texts()


def test_search_while_typing_and_the_way_back(page, address):
    page.goto(address)
    assert names(page) == ["Amber swirl", "Blue dahlia"]
    page.get_by_label("Search").fill("muller")
    page.get_by_text("1 of 2 pieces").wait_for()
    assert names(page) == ["Amber swirl"]
    assert page.url.rstrip('/') == address
    page.get_by_role('link', name="Amber swirl").click()
    page.get_by_role('heading', name="Amber swirl").wait_for()
    page.go_back()
    page.get_by_text("1 of 2 pieces").wait_for()
    assert page.get_by_label("Search").input_value() == "muller"
    page.get_by_label("Search").fill("unicorn")
    page.get_by_text("No piece has these words").wait_for()
    page.get_by_label("Search").fill("")
    page.get_by_text("2 pieces", exact=True).wait_for()
    assert names(page) == ["Amber swirl", "Blue dahlia"]


def test_more_pieces_come_while_scrolling(page, place, address):
    import_pieces(place, 300)
    page.goto(address)
    page.get_by_text("302 pieces").wait_for()
    for _ in range(30):
        page.mouse.wheel(0, 20_000)
        page.wait_for_timeout(100)
        if page.locator('.shelf li').count() == 302:
            break
    links = page.locator('.shelf li > a').evaluate_all('(all) => all.map((one) => one.href)')
    assert len(links) == len(set(links)) == 302
    assert page.locator('#more').count() == 0
    page.get_by_label("Order").select_option("title")
    page.wait_for_load_state('networkidle')
    assert page.locator('.shelf li').count() >= 120


def test_without_scripts_all_of_it_works(new_page, place, address):
    import_pieces(place, 130)
    page = new_page(java_script_enabled=False)
    page.goto(address)
    assert page.locator('.shelf li').count() == 120
    page.get_by_role('button', name="Show the next pieces").click()
    assert page.locator('.shelf li').count() == 12
    page.get_by_label("Search").fill("muller")
    page.get_by_role('button', name="Show", exact=True).click()
    assert "Amber swirl" in names(page)


def test_a_piece_is_added_changed_and_removed(page, place, address):
    page.goto(address)
    page.get_by_role('link', name="Add a piece").click()
    page.get_by_label("Title").fill("New piece")
    page.get_by_label("Value", exact=True).fill("85,50 GBP")
    page.get_by_role('button', name="Add it").click()
    page.get_by_text("1 field needs another look").wait_for()
    assert page.get_by_label("Title").input_value() == "New piece"
    page.get_by_label("Value", exact=True).fill("85.50 GBP")
    page.get_by_role('button', name="Add it").click()
    page.get_by_role('heading', name="New piece").wait_for()
    assert page.get_by_text("85.50 GBP").count() == 1
    page.get_by_role('link', name="Edit", exact=True).click()
    page.get_by_label("Notes").fill("two\nlines")
    page.get_by_role('button', name="Keep the changes").click()
    page.get_by_role('heading', name="New piece").wait_for()
    stored = read_piece(place.pieces / piece_named(place, "New piece").folder)
    assert stored.piece.notes == "two\nlines"
    page.get_by_role('link', name="Remove this piece").click()
    page.get_by_role('button', name="Move it to the trash").click()
    page.get_by_text("2 pieces", exact=True).wait_for()
    assert len(list(place.trash.glob('*/New piece-*'))) == 1


def test_two_tabs_show_both_and_lose_nothing(page, place, address):
    row = piece_named(place, "Amber swirl")
    edit = f'{address}/pieces/{row.id}/edit'
    other = page.context.new_page()
    page.goto(edit)
    other.goto(edit)
    other.get_by_label("Maker").fill("Second tab")
    other.get_by_role('button', name="Keep the changes").click()
    other.get_by_role('heading', name="Amber swirl").wait_for()
    page.get_by_label("Maker").fill("First tab")
    page.get_by_label("Notes").fill("only in the first")
    page.get_by_role('button', name="Keep the changes").click()
    page.get_by_text("This piece was changed meanwhile").wait_for()
    assert page.get_by_text("Second tab").count() == page.get_by_text("First tab").filter(visible=True).count() == 1
    page.get_by_role('radio', name="What is there now Second tab").check()
    page.get_by_role('button', name="Keep what is chosen").click()
    page.get_by_role('heading', name="Amber swirl").wait_for()
    piece = read_piece(place.pieces / row.folder).piece
    assert (piece.maker, piece.notes) == ("Second tab", "only in the first")


def test_hostile_text_stays_text_and_within_the_page(new_page, place, address):
    for text in HOSTILE:
        add(place, {'title': text, 'maker': text, 'notes': text, 'measurements': text})
    page = new_page(360)
    page.goto(address)
    assert page.evaluate('document.documentElement.scrollWidth') <= 360
    for row in rows(place):
        for address_of in (f'/pieces/{row.id}', f'/pieces/{row.id}/edit', f'/pieces/{row.id}/remove'):
            page.goto(address + address_of)
            assert page.evaluate('document.documentElement.scrollWidth') <= 360, row.title[:40]
            assert page.locator('main script, main b:text("out")').count() == 0
        page.goto(f'{address}/pieces/{row.id}/edit')
        assert page.get_by_label("Notes").input_value() == read_piece(place.pieces / row.folder).piece.notes


def test_the_first_start(page, tmp_path, serve):
    own = serve(lambda port: create_app(Desk(tmp_path / 'glass', port=port)))
    page.goto(own)
    page.get_by_role('button', name="Make the collection here").click()
    page.get_by_text("The shelf is still empty").wait_for()
    page.get_by_role('link', name="Add the first piece").click()
    page.get_by_role('heading', name="Add a piece").wait_for()
