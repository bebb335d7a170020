"""Letting phones in and putting them out; for a browser of this computer only."""

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from grader.web.answer import go_to, page
from grader.web.desk import Desk, desk_of
from grader.web.phones import code_words, phone_links, phones_in, time_left_words
from grader.web.security.refusal import Refusal


def show(request: Request) -> Response:
    """Code and picture, where one was asked for, and phones that are in."""
    desk = _own_desk(request)
    shown = desk.pairing.shown()
    links = phone_links(shown, desk.addresses, desk.port) if shown else ()
    return page(
        request,
        'phone.html',
        is_shared=bool(desk.addresses),
        links=[{'address': link.address, 'picture': Markup(link.picture)} for link in links],
        code=code_words(shown) if shown else '',
        time_left=time_left_words(shown.left_s) if shown else '',
        was_guessed=desk.pairing.was_guessed,
        phones=phones_in(desk.sessions.phones(), desk.ticks()),
    )


def tell(request: Request) -> Response:
    """The same for the page's own program: whether anything changed."""
    desk = _own_desk(request)
    shown = desk.pairing.shown()
    return JSONResponse(
        {
            'n_phones': len(desk.sessions.phones()),
            'is_shown': shown is not None,
            'time_left': time_left_words(shown.left_s) if shown else '',
        }
    )


def make_code(request: Request) -> Response:
    """Show a new code."""
    desk = _own_desk(request)
    if desk.addresses:
        desk.pairing.make_code()
    return go_to('/phone')


def end_code(request: Request) -> Response:
    """Show no code any more."""
    _own_desk(request).pairing.end_code()
    return go_to('/phone')


def put_out(request: Request) -> Response:
    """Put a phone out; one that is gone already is no fault."""
    _own_desk(request).sessions.put_out(request.path_params['label'])
    return go_to('/phone')


def _own_desk(request: Request) -> Desk:
    if not request.scope['session'].is_own_computer:
        raise Refusal(
            403,
            "Phones are let in at the computer, not from a phone.",
            "Open this page on the computer on which the program runs.",
        )
    return desk_of(request)


ROUTES = (
    Route('/phone', show),
    Route('/phone.json', tell),
    Route('/phone/code', make_code, methods=['POST']),
    Route('/phone/no-code', end_code, methods=['POST']),
    Route('/phone/{label}/out', put_out, methods=['POST']),
)
