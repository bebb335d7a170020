"""Each page by axe-core, narrow, with large text, and by keyboard."""

from pathlib import Path

import pytest

from grader.web.app import create_app
from grader.web.desk import Desk
from tests.support.chromium import new_axe
from tests.support.page_checks import CUT, FOCUSED, FROM_THE_TOP, REACHABLE
from tests.support.page_collection import prepared_page
from tests.support.page_list import NO_PAGES, PAGES, STATES, open_page
from tests.support.routes import routes_of

ALL = [*PAGES, *STATES]
# Rules of WCAG 2.2 A and AA, and axe-core's own good practice.
GRAVE = ('serious', 'critical')


@pytest.fixture(scope='module')
def there(tmp_path_factory):
    with prepared_page(Path(tmp_path_factory.mktemp('pages'))) as prepared:
        yield prepared


def test_each_page_is_looked_at():
    app = create_app(Desk(root=Path('/nowhere')))
    known = {one.path for one in routes_of(app) if one.method == 'GET'}
    assert known - set(PAGES) - set(NO_PAGES) == set(), 'add these to tests/support/page_list.py'
    assert (set(PAGES) | set(NO_PAGES)) - known == set(), 'these are no longer there'


@pytest.mark.parametrize('name', ALL)
def test_axe_finds_nothing_grave_and_nothing_is_cut_off(new_page, there, name):
    axe = new_axe()
    # axe-core is put into the page as a script, which the page's policy would not allow.
    page = new_page(360, bypass_csp=True)
    open_page(page, there, name)
    for width in (360, 1280):
        page.set_viewport_size({'width': width, 'height': 900})
        found = axe.run(page).response
        told = [(one['id'], one['help'], [node['html'][:200] for node in one['nodes']])
                for one in found['violations'] if one['impact'] in GRAVE]  # fmt: skip
        assert (width, told) == (width, [])
        assert len(found['passes']) > 10

    for width, text in ((1280, '200%'), (640, '100%'), (360, '100%'), (360, '200%')):
        page.set_viewport_size({'width': width, 'height': 900})
        page.evaluate('(size) => { document.documentElement.style.fontSize = size; }', text)
        assert (width, text, page.evaluate('document.documentElement.scrollWidth') <= width) == (width, text, True)
        assert (width, text, page.evaluate(CUT)) == (width, text, [])


@pytest.mark.parametrize('name', ALL)
def test_keyboard_reaches_everything_and_is_seen(page, there, name):
    open_page(page, there, name)
    page.evaluate(FROM_THE_TOP)
    page.keyboard.press('Tab')
    first = page.evaluate(FOCUSED)
    assert "Skip to the content" in first['name']
    assert first['inside']
    n_reachable = page.evaluate(REACHABLE)
    met = [first]
    for _ in range(n_reachable + 20):
        page.keyboard.press('Tab')
        focused = page.evaluate(FOCUSED)
        if focused is None or focused['number'] == 0:
            break
        met.append(focused)
    else:
        pytest.fail(f'the Tab key does not get out: {met[-3:]}')
    assert [one['name'] for one in met if not one['seen'] or not one['inside']] == []
    assert len({one['number'] for one in met if one['counts']}) >= n_reachable

    page.evaluate(FROM_THE_TOP)
    page.keyboard.press('Tab')
    page.keyboard.press('Enter')
    assert page.evaluate('document.activeElement.tagName') == 'MAIN'
