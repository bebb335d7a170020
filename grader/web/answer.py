"""Answers: pages, redirects, and faults told in words."""

from typing import Any

import jinja2
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.types import Scope

from calib.errors import ActionableError
from grader.errors import (
    ChangedMeanwhile,
    CollectionBusy,
    CollectionNotFound,
    DraftNotFound,
    JobNotFound,
    OutputNotWritable,
    PieceNotFound,
    UploadTooLarge,
)
from grader.version import __version__
from grader.web.security.refusal import Refusal, is_asked_by_script
from grader.web.static_files import static_address

STATUS_OF_ERROR: dict[type[ActionableError], int] = {
    PieceNotFound: 404,
    CollectionNotFound: 404,
    JobNotFound: 404,
    DraftNotFound: 404,
    UploadTooLarge: 413,
    ChangedMeanwhile: 409,
    CollectionBusy: 503,
    OutputNotWritable: 507,
}
"""Answers to faults, by class; all others are 422: what came cannot be used as it is."""

_TITLES = {
    400: "There is nothing here",
    403: "This is not open to you",
    404: "There is nothing here",
    405: "This cannot be done here",
    408: "This took too long",
    409: "This was changed meanwhile",
    413: "This is too large",
    421: "This is not open to you",
    422: "This could not be done",
    500: "A fault in the program",
    503: "The collection is busy",
    507: "This cannot be written",
}
_REMEDIES = {
    404: "Go to the collection and look for it there.",
    405: "Go back, and use the buttons of the page.",
}
_WORDS = {
    404: "There is no page at this address.",
    405: "This address does not take what was sent.",
}

_environment = jinja2.Environment(
    loader=jinja2.PackageLoader('grader.web'), autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True,
    lstrip_blocks=True,
)  # fmt: skip


def page(request: Request, template: str, *, status: int = 200, **content: Any) -> Response:
    """A page made from a template; every text in it is escaped."""
    text = _environment.get_template(template).render(_common(request) | content)
    return HTMLResponse(text, status)


def go_to(address: str) -> Response:
    """Redirect after something was done, so that reloading does not do it again."""
    return RedirectResponse(address, 303)


def fault_answer(request: Request, status: int, problem: str, remedy: str) -> Response:
    """A fault in words: as JSON where a program of the page asked, else as a page."""
    if wants_json(request):
        return JSONResponse({'problem': problem, 'remedy': remedy}, status)
    title = _TITLES.get(status, _TITLES[422])
    return page(request, 'fault.html', status=status, title=title, problem=problem, remedy=remedy)


def wants_json(request: Request) -> bool:
    """Whether the answer is read by a program of the page."""
    return is_asked_by_script(request.scope)


def status_of(error: ActionableError) -> int:
    """Status of the error's class, or of the nearest class above it that has one."""
    return next((STATUS_OF_ERROR[one] for one in type(error).__mro__ if one in STATUS_OF_ERROR), 422)


def answer_to_actionable(request: Request, err: Exception) -> Response:
    """Answer to a fault that the owner can mend."""
    if not isinstance(err, ActionableError):
        raise err
    return fault_answer(request, status_of(err), err.problem, err.remedy)


def answer_to_http(request: Request, err: Exception) -> Response:
    """Answer to a request that fits no route."""
    if not isinstance(err, HTTPException):
        raise err
    problem = _WORDS.get(err.status_code, str(err.detail))
    answer = fault_answer(request, err.status_code, problem, _REMEDIES.get(err.status_code, "Go back and try again."))
    for name, value in (err.headers or {}).items():
        answer.headers[name] = value
    return answer


def answer_to_refusal(scope: Scope, refusal: Refusal) -> Response:
    """Answer to a request that no page gets to see, and to a fault of ours."""
    request = Request(scope)
    answer = fault_answer(request, refusal.status, refusal.problem, refusal.remedy)
    for name, value in refusal.headers.items():
        answer.headers[name] = value
    return answer


def _common(request: Request) -> dict[str, Any]:
    """What every page knows."""
    session = request.scope.get('session')
    token = getattr(session, 'csrf', '')
    return {
        'csrf': token,
        'csrf_field': lambda: Markup('<input type="hidden" name="csrf" value="{}">').format(token),
        'here': request.url.path,
        'is_in': session is not None,
        'is_own_computer': getattr(session, 'is_own_computer', False),
        'static': static_address,
        'version': __version__,
    }
