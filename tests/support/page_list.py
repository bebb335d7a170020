"""Every page of the program with an address to look at it, and what else is answered, with the reason why it is no page.

A route that is in neither list fails a test: each page is looked at in a browser.
"""

from collections.abc import Callable

from tests.support.page_collection import Prepared

PAGES: dict[str, Callable[[Prepared], str]] = {
    '/help': lambda there: '/help',
    '/jobs/{token}': lambda there: f'/jobs/{there.job}',
    '/pair': lambda there: '/pair',
    '/phone': lambda there: '/phone',
}
"""Path of a route, and the address of a page of it."""

MORE_PAGES: dict[str, Callable[[Prepared], str]] = {
    'nothing there': lambda there: '/nothing/there',
}
"""States of pages that look otherwise than the first one."""

NO_PAGES = {
    '/jobs/{token}.json': 'facts for a script',
    '/phone.json': 'facts for a script',
}
"""Path of a route that is no page, and why."""
