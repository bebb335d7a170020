"""The hidden token of each form: only our own pages know it, so a form that carries it is ours.

Scripts send it as header `X-Csrf`. Forms send it as their first field `csrf`, so that it is known before the photos
behind it are read.
"""

import hmac
import re
from urllib.parse import parse_qs

from starlette.types import Message, Receive, Scope

from grader.web.security.constants import MAX_FORM_BYTES, MAX_TOKEN_PART_BYTES
from grader.web.security.refusal import Refusal
from grader.web.security.request_shape import header_values

FIELD = 'csrf'
HEADER = b'x-csrf'
_BOUNDARY = re.compile(r'^multipart/form-data\s*;.*?\bboundary="?([^\s";,]{1,70})"?', re.IGNORECASE)
_FIELD_HEAD = re.compile(rb'content-disposition: *form-data; *name="csrf"', re.IGNORECASE)


async def check_token(scope: Scope, receive: Receive, token: str) -> Receive:
    """Refuse a request without the session's token.

    Parameters
    ----------
    scope : Scope
        ASGI scope of an HTTP request.
    receive : Receive
        Gives its body.
    token : str
        The session's token.

    Returns
    -------
    Receive
        Gives the whole body once more, the part that was read here too.

    Raises
    ------
    Refusal
        403 where the token is missing or another one.
    """
    in_headers = header_values(scope, HEADER)
    if in_headers:
        _compare(in_headers, token)
        return receive
    kind = ', '.join(header_values(scope, b'content-type'))
    reading = _Reading(receive)
    if kind.split(';')[0].strip().lower() == 'application/x-www-form-urlencoded':
        body = await reading.until_bytes(MAX_FORM_BYTES)
        _compare(_values_of_plain_form(body), token)
    elif boundary := _BOUNDARY.match(kind):
        body = await reading.until_bytes(MAX_TOKEN_PART_BYTES)
        _compare(_first_field(body, boundary.group(1).encode('latin-1')), token)
    else:
        _compare([], token)
    return reading.again


def _compare(given: list[str], token: str) -> None:
    if len(given) != 1 or not hmac.compare_digest(given[0].encode('utf-8', 'replace'), token.encode()):
        raise Refusal(
            403,
            "This page was open since before the program was started anew, or for too long, so nothing was done.",
            "Go back, copy what you typed, load the page anew, and do it once more.",
        )


def _values_of_plain_form(body: bytes) -> list[str]:
    try:
        # More fields than our forms have: a flood.
        return parse_qs(body.decode('latin-1'), keep_blank_values=True, max_num_fields=2000).get(FIELD, [])
    except ValueError:
        return []


def _first_field(body: bytes, boundary: bytes) -> list[str]:
    """Value of the field `csrf` where that is the first part of a form with files (RFC 7578)."""
    edge = b'--' + re.escape(boundary)
    part = re.match(
        rb'(?:\r\n)?' + edge + rb'\r\n(?P<head>[^\r\n]+(?:\r\n[^\r\n]+)*)\r\n\r\n(?P<value>[^\r\n]*)\r\n' + edge, body
    )
    if part is None or not _FIELD_HEAD.fullmatch(part['head']):
        return []
    return [part['value'].decode('latin-1')]


class _Reading:
    """Reads the start of a body, and gives it all once more."""

    def __init__(self, receive: Receive) -> None:
        self._receive = receive
        self._read: list[Message] = []
        self._is_over = False

    async def until_bytes(self, n_bytes: int) -> bytes:
        """Start of the body, `n_bytes` or somewhat more; less where it is shorter."""
        body = b''
        while len(body) < n_bytes and not self._is_over:
            message = await self._receive()
            self._read.append(message)
            body += message.get('body', b'')
            self._is_over = message['type'] != 'http.request' or not message.get('more_body', False)
        return body

    async def again(self) -> Message:
        """The next message of the body."""
        return self._read.pop(0) if self._read else await self._receive()
