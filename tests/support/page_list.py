"""Every page of the program with an address to look at it, and what else is answered, with the reason why it is no page.

A route that is in neither list fails a test: each page is looked at in a browser.
"""

from collections.abc import Callable
from typing import Any

from tests.support.hostile_zips import zip_of
from tests.support.page_collection import Prepared

PIECE = '/pieces/{piece_id}'
EXAMINATION, COMPARISON = f'{PIECE}/examinations/{{number:int}}', f'{PIECE}/comparisons/{{number:int}}'

PAGES: dict[str, Callable[[Prepared], str]] = {
    '/': lambda there: '/',
    '/card': lambda there: '/card',
    '/check-seal': lambda there: '/check-seal',
    f'{PIECE}/compare': lambda there: f'/pieces/{there.piece}/compare',
    COMPARISON: lambda there: f'/pieces/{there.piece}/comparisons/1',
    f'{EXAMINATION}/seal': lambda there: f'/pieces/{there.piece}/examinations/1/seal',
    f'{COMPARISON}/seal': lambda there: f'/pieces/{there.piece}/comparisons/1/seal',
    f'{PIECE}/sealed': lambda there: f'/pieces/{there.piece}/sealed',
    f'{PIECE}/sealed/check': lambda there: f'/pieces/{there.piece}/sealed/check',
    '/help': lambda there: '/help',
    '/jobs/{token}': lambda there: f'/jobs/{there.job}',
    '/pair': lambda there: '/pair',
    '/phone': lambda there: '/phone',
    '/pieces/new': lambda there: '/pieces/new',
    '/pieces/{id}': lambda there: f'/pieces/{there.piece}',
    '/pieces/{id}/drafts/new': lambda there: f'/pieces/{there.piece}/drafts/new',
    '/pieces/{id}/drafts/{token}': lambda there: there.draft,
    '/pieces/{id}/edit': lambda there: f'/pieces/{there.piece}/edit',
    '/pieces/{id}/photos': lambda there: f'/pieces/{there.piece}/photos',
    '/pieces/{id}/remove': lambda there: f'/pieces/{there.piece}/remove',
    '/pieces/{piece_id}/examinations/{number:int}': lambda there: f'/pieces/{there.piece}/examinations/1',
    '/schedule': lambda there: '/schedule',
    '/schedule/{token}': lambda there: there.schedule,
}
"""Path of a route, and the address of a page of it."""


def _search(words: str) -> Callable[[Any, Prepared], None]:
    def do(page: Any, there: Prepared) -> None:
        page.goto(f'{there.address}/')
        page.get_by_label("Search").fill(words)
        with page.expect_response('**/search'):
            page.get_by_role('button', name="Show").click()
        page.wait_for_load_state('networkidle')  # what was typed is searched for, too

    return do


def _send_empty_form(page: Any, there: Prepared) -> None:
    page.goto(f'{there.address}/pieces/new')
    page.locator('main form button').last.click()
    page.get_by_text("Nothing is said of the piece yet").first.wait_for()


def _send_zip(data: Callable[[], bytes]) -> Callable[[Any, Prepared], None]:
    def do(page: Any, there: Prepared) -> None:
        page.goto(f'{there.address}/check-seal')
        page.locator('#bag').set_input_files(
            {'name': f'{"x" * 90}.zip', 'mimeType': 'application/zip', 'buffer': data()}
        )
        page.get_by_role('button', name="Check it").click()
        page.locator('.notice').first.wait_for()

    return do


def _compare_with_itself(page: Any, there: Prepared) -> None:
    page.goto(f'{there.address}/pieces/{there.piece}/compare')
    page.locator('#before').select_option('2')
    page.get_by_role('button', name="Compare").click()
    page.get_by_text("Both are the same examination.").wait_for()


def _go(address: str) -> Callable[[Any, Prepared], None]:
    return lambda page, there: page.goto(there.address + address.replace('PIECE', there.plain_piece))


STATES: dict[str, Callable[[Any, Prepared], None]] = {
    'nothing there': _go('/nothing/there'),
    'no such piece': _go('/pieces/nosuchid/examinations/1'),
    'no photos yet': lambda page, there: page.goto(there.address + there.empty_draft),
    'piece without photos': _go('/pieces/PIECE'),
    'found': _search("amber"),
    'device not let in': lambda page, there: page.goto(f'{there.network_address}/'),
    'code asked for': lambda page, there: page.goto(f'{there.network_address}/pair'),
    'nothing found': _search("unicorn"),
    'empty form': _send_empty_form,
    'seal that is none': _send_zip(lambda: b'no zip'),
    'seal with faults': _send_zip(lambda: zip_of(('bag/bagit.txt', b'x'), (f'bag/data/{"y" * 200}', b'z'))),
    'compared with itself': _compare_with_itself,
    'nothing to compare': _go('/pieces/PIECE/compare'),
    'nothing sealed': _go('/pieces/PIECE/sealed'),
    'no collection yet': lambda page, there: page.goto(there.empty_address),
}
"""What pages look like at other times, and how to get there."""

_PHOTO = '/pieces/{piece_id}/examinations/{number:int}/photos/{photo:int}/{sha256}'

NO_PAGES = {
    '/compare-viewer/{name}': 'script and style',
    f'{COMPARISON}/pictures/{{name}}': 'a picture',
    f'{COMPARISON}/files/{{name}}': 'a file to be saved',
    **{
        f'{COMPARISON}/{name}.{form}': 'a file to be saved'
        for name in ('journey', 'purchase')
        for form in ('pdf', 'html')
    },
    **{f'{EXAMINATION}/report.{form}': 'a file to be saved' for form in ('pdf', 'html')},
    **{f'{start}/sealed.zip': 'a file to be saved' for start in (PIECE, EXAMINATION, COMPARISON)},
    f'{PIECE}/sealed/{{number:int}}.zip': 'a file to be saved',
    '/jobs/{token}.json': 'facts for a script',
    '/phone.json': 'facts for a script',
    '/pieces.csv': 'a file',
    '/card/{card}-{paper}.pdf': 'a file',
    '/pieces/{id}/drafts/{token}/parts': 'a part of a page, for a script',
    '/pieces/{id}/drafts/{token}/photos/{key}': 'a picture',
    '/pieces/{id}/history.svg': 'a picture',
    '/pieces/{id}/picture': 'a picture',
    '/pieces/{id}/picture/large': 'a picture',
    '/pieces/{id}/pictures/{n:int}': 'a picture',
    '/pieces/{id}/pictures/{n:int}/small': 'a picture',
    '/pieces/{piece_id}/examinations/{number:int}/review.json': 'facts for a script',
    f'{_PHOTO}/fit.jpg': 'a picture',
    f'{_PHOTO}/small.jpg': 'a picture',
    f'{_PHOTO}/{{level:int}}/{{column:int}}/{{row:int}}.png': 'a part of a picture',
    '/schedule/{token}.pdf': 'a file',
}
"""Path of a route that is no page, and why."""


def open_page(page: Any, there: Prepared, name: str) -> None:
    """Open a page of one of the lists, by its name there."""
    if name in PAGES:
        page.goto(there.address + PAGES[name](there), wait_until='load')
    else:
        STATES[name](page, there)
    page.locator('h1').first.wait_for()
