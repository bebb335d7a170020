"""Whether a request comes from our own pages, by what the browser says of it.

Browsers name the page that sends a form (header Origin), and on this computer also how it relates to ours
(Sec-Fetch-Site, W3C Fetch Metadata). No script can change either.
"""

from starlette.types import Scope

from grader.web.security.refusal import Refusal
from grader.web.security.request_shape import SAFE_METHODS, header_values

# "none": the person typed the address, or opened a bookmark.
OUR_SITES = ('same-origin', 'none')


def check_sender(scope: Scope) -> None:
    """Refuse what a page of somebody else's sends; opening one of ours by a link is no such thing.

    Call it after the host is checked.

    Raises
    ------
    Refusal
        403 for a form or a script of another page, and for our pictures in another page.
    """
    site = _single(scope, b'sec-fetch-site')
    from_elsewhere = site is not None and site not in OUR_SITES and not is_link_from_elsewhere(scope)
    origin = header_values(scope, b'origin')
    if from_elsewhere or (scope['method'] not in SAFE_METHODS and origin and origin != [_own_origin(scope)]):
        raise Refusal(
            403,
            "Another page tried to use this one in your name. Nothing was done.",
            "If you pressed a button here yourself, open the page anew and press it again.",
        )


def is_link_from_elsewhere(scope: Scope) -> bool:
    """Whether a person opens one of our pages from another page.

    The browser keeps our cookie back then, though it has one; asking once more from a page of ours brings it.
    """
    site = _single(scope, b'sec-fetch-site')
    return (
        site is not None
        and site not in OUR_SITES
        and scope['method'] in SAFE_METHODS
        and _single(scope, b'sec-fetch-mode') == 'navigate'
        and _single(scope, b'sec-fetch-dest') == 'document'
    )


def _own_origin(scope: Scope) -> str:
    return f'http://{header_values(scope, b"host")[0].lower()}'


def _single(scope: Scope, name: bytes) -> str | None:
    values = header_values(scope, name)
    return ', '.join(values) if values else None
