"""What each request must look like: method, path and headers that our own pages could have sent."""

from starlette.types import Scope

from grader.web.security.constants import MAX_PATH_LENGTH
from grader.web.security.refusal import Refusal

METHODS = ('GET', 'HEAD', 'POST')
SAFE_METHODS = ('GET', 'HEAD')


def check_shape(scope: Scope) -> None:
    """Refuse what none of our pages sends.

    Parameters
    ----------
    scope : Scope
        ASGI scope of an HTTP request.

    Raises
    ------
    Refusal
        405 for other methods, 400 for paths with control signs, backslashes, steps up, or without end.
    """
    if scope['method'] not in METHODS:
        raise Refusal(
            405,
            "This page does not know that kind of request.",
            "Use the page's own buttons and links.",
            {'Allow': ', '.join(METHODS)},
        )
    path = scope['path']
    if len(path) > MAX_PATH_LENGTH or not path.startswith('/') or _is_odd(path):
        raise Refusal(400, "There is no page with such an address.", "Start at the first page.")


def _is_odd(path: str) -> bool:
    odd_sign = any(sign == '\\' or sign == '\ufffd' or not sign.isprintable() for sign in path)
    return odd_sign or any(step in ('.', '..') for step in path.split('/'))


def header_values(scope: Scope, name: bytes) -> list[str]:
    """Each value of a header, as it came; `name` in small letters."""
    return [value.decode('latin-1') for key, value in scope['headers'] if key == name]
