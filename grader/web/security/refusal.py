"""A request that no page gets to see, and the answer to it in words."""

import html
import json
from collections.abc import Callable

from starlette.requests import HTTPConnection
from starlette.responses import Response
from starlette.types import Scope


class Refusal(Exception):
    """A request is refused.

    Parameters
    ----------
    status : int
        HTTP status, 400 to 599.
    problem, remedy : str
        What is wrong, and what to do now. Full sentences.
    headers : dict[str, str] | None
        Further headers of the answer.
    """

    def __init__(self, status: int, problem: str, remedy: str, headers: dict[str, str] | None = None) -> None:
        super().__init__(status, problem, remedy)
        self.status = status
        self.problem = problem
        self.remedy = remedy
        self.headers = headers or {}


Answer = Callable[[Scope, Refusal], Response]
"""Makes the answer to a refused request."""


def plain_answer(scope: Scope, refusal: Refusal) -> Response:
    """Answer that needs no template: JSON for a script, else a small page."""
    if is_asked_by_script(scope):
        body = json.dumps({'problem': refusal.problem, 'remedy': refusal.remedy})
        return Response(body, refusal.status, refusal.headers, 'application/json')
    return Response(_page(refusal), refusal.status, refusal.headers, 'text/html')


def is_asked_by_script(scope: Scope) -> bool:
    """Whether a script asks, not a person."""
    return scope['path'].endswith('.json') or 'application/json' in HTTPConnection(scope).headers.get('accept', '')


def _page(refusal: Refusal) -> str:
    problem, remedy = html.escape(refusal.problem), html.escape(refusal.remedy)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<title>Not done</title></head>'
        f'<body><main><h1>Not done</h1><p>{problem}</p><p>{remedy}</p></main></body></html>\n'
    )
