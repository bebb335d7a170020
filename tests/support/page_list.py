"""Every page of the program with an address to look at it, and what else is answered, with the reason why it is no page.

A route that is in neither list fails a test: each page is looked at in a browser.
"""

from collections.abc import Callable

from tests.support.page_collection import Prepared

PAGES: dict[str, Callable[[Prepared], str]] = {
    '/help': lambda there: '/help',
    '/jobs/{token}': lambda there: f'/jobs/{there.job}',
    '/pair': lambda there: '/pair',
    '/pieces/{piece_id}/examinations/{number:int}': lambda there: f'/pieces/{there.piece}/examinations/1',
    '/phone': lambda there: '/phone',
}
"""Path of a route, and the address of a page of it."""

MORE_PAGES: dict[str, Callable[[Prepared], str]] = {
    'nothing there': lambda there: '/nothing/there',
    'no such piece': lambda there: '/pieces/nosuchid/examinations/1',
}
"""States of pages that look otherwise than the first one."""

PHOTO = '/pieces/{piece_id}/examinations/{number:int}/photos/{photo:int}/{sha256}'

NO_PAGES = {
    '/jobs/{token}.json': 'facts for a script',
    '/phone.json': 'facts for a script',
    '/pieces/{piece_id}/examinations/{number:int}/review.json': 'facts for a script',
    f'{PHOTO}/fit.jpg': 'a picture',
    f'{PHOTO}/small.jpg': 'a picture',
    f'{PHOTO}/{{level:int}}/{{column:int}}/{{row:int}}.png': 'a part of a picture',
}
"""Path of a route that is no page, and why."""
