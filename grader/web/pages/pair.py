"""Where a phone gives its code."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.web.answer import go_to, page
from grader.web.desk import desk_of
from grader.web.phones import TRY_ANSWERS
from grader.web.security.pairing import TryResult
from grader.web.security.sessions import cookie_header, device_name


def ask(request: Request) -> Response:
    """Page that asks for the code."""
    return page(request, 'pair.html', problem='')


async def take(request: Request) -> Response:
    """Let a phone in that gives the right code."""
    if request.scope['session'] is not None:
        return go_to('/')
    desk = desk_of(request)
    address = request.client.host if request.client else ''
    async with request.form(max_files=0, max_fields=4) as form:
        given = str(form.get('code', ''))
    result = desk.pairing.give(given, address)
    if result is not TryResult.LET_IN:
        status, problem = TRY_ANSWERS[result]
        return page(request, 'pair.html', status=status, problem=problem)
    name = device_name(request.headers.get('user-agent', ''))
    secret, _ = desk.sessions.start(is_phone=True, name=name, address=address)
    answer = go_to('/')
    answer.headers['Set-Cookie'] = cookie_header(secret, desk.port)
    return answer


ROUTES = (
    Route('/pair', ask),
    Route('/pair', take, methods=['POST']),
)
