"""The checks of pages find the faults that they are for."""

import pytest
from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route

from tests.support.chromium import new_axe
from tests.support.page_checks import CUT, FOCUSED, REACHABLE

GOOD = '<main><h1>Glass</h1><p>A word</p><a href="/x">Link</a><button>Press</button></main>'


@pytest.fixture
def show(new_page, serve):
    def open_it(body):
        async def start(request):
            return HTMLResponse(f'<!doctype html><html lang="en"><title>Glass</title>{body}</html>')

        page = new_page(360)
        page.goto(serve(lambda port: Starlette(routes=[Route('/', start)])))
        return page

    return open_it


@pytest.mark.parametrize(
    ('body', 'found'),
    [
        (GOOD, False),
        ('<p style="width: 900px">Wide</p>', True),
        ('<div style="overflow-x: auto"><p style="width: 900px">Wide, but scrolls</p></div>', False),
        ('<p style="width: 3em; overflow: hidden; white-space: nowrap">Cut off at the end</p>', True),
        ('<p style="height: 1em; overflow: hidden">Cut off<br>below</p>', True),
        ('<p style="position: absolute; left: -50px">Leaves to the left</p>', True),
    ],
)
def test_cut_text(show, body, found):
    assert bool(show(body).evaluate(CUT)) is found


@pytest.mark.parametrize(('style', 'seen'), [('', True), ('outline: none', False), ('outline: 0 solid red', False)])
def test_seen_focus(show, style, seen):
    page = show(f'<button style="{style}">Press</button>')
    assert page.evaluate(FOCUSED) is None
    page.keyboard.press('Tab')
    assert page.evaluate(FOCUSED)['seen'] is seen


def test_reachable(show):
    hidden = '<button hidden>a</button><button disabled>b</button><a>c</a><input type="hidden"><b tabindex="-1">d</b>'
    assert show(GOOD + hidden).evaluate(REACHABLE) == 2


def test_axe_finds_faults(show):
    found = new_axe().run(
        show('<input type="text"><img src="data:,"><p style="color: #ddd; background: #fff">Pale</p>')
    )
    assert {'label', 'image-alt', 'color-contrast'} <= {one['id'] for one in found.response['violations']}
