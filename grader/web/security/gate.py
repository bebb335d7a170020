"""The gate: each request is looked at here before any page sees it."""

from collections.abc import Callable
from dataclasses import dataclass

from starlette.datastructures import MutableHeaders
from starlette.responses import HTMLResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from grader.web.security.addresses import is_this_computer
from grader.web.security.csrf import check_token
from grader.web.security.fetch_site import check_sender, is_link_from_elsewhere
from grader.web.security.hosts import check_host
from grader.web.security.refusal import Answer, Refusal
from grader.web.security.request_shape import SAFE_METHODS, check_shape, header_values
from grader.web.security.sessions import Session, Sessions, cookie_header, cookie_of, device_name

# Asks for the same address once more, now from a page of ours, so that the browser sends our cookie.
ONCE_MORE = (
    '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>One moment</title>'
    '<meta http-equiv="refresh" content="0"></head><body></body></html>\n'
)


@dataclass(frozen=True, slots=True)
class GateRules:
    """What the gate goes by."""

    port: int
    """Port that is served."""
    share: bool
    """Whether devices of the home network may ask."""
    is_open: Callable[[str], bool]
    """Whether a path is for everybody, let in or not."""


class Gate:
    """ASGI layer that lets in browsers of this computer and paired phones, asking for our name, from our pages.

    The session is put into ``request.scope['session']``; on paths that are open to everybody it may be None.
    """

    def __init__(self, app: ASGIApp, rules: GateRules, sessions: Sessions, answer: Answer) -> None:
        self.app = app
        self._rules = rules
        self._sessions = sessions
        self._answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or answer why not."""
        if scope['type'] == 'lifespan':
            await self.app(scope, receive, send)
        elif scope['type'] == 'http':
            await self._http(scope, receive, send)
        else:
            await send({'type': 'websocket.close', 'code': 1008})

    async def _http(self, scope: Scope, receive: Receive, send: Send) -> None:
        cookies = _Cookies(send)
        try:
            check_shape(scope)
            check_host(scope, self._rules.port, share=self._rules.share)
            check_sender(scope)
            session = self._session(scope, cookies)
            scope['session'] = session
            if scope['method'] not in SAFE_METHODS and not self._rules.is_open(scope['path']):
                receive = await check_token(scope, receive, session.csrf if session else '')
        except Refusal as refusal:
            await self._answer(scope, refusal)(scope, receive, cookies.send)
        except _AskOnceMore:
            await once_more()(scope, receive, cookies.send)
        else:
            await self.app(scope, receive, cookies.send)

    def _session(self, scope: Scope, cookies: '_Cookies') -> Session | None:
        session = self._sessions.find(cookie_of(header_values(scope, b'cookie'), self._rules.port))
        if session is not None or self._rules.is_open(scope['path']):
            return session
        address = scope['client'][0] if scope.get('client') else ''
        if not is_this_computer(address):
            raise _not_let_in()
        if is_link_from_elsewhere(scope):
            raise _AskOnceMore
        agent = ' '.join(header_values(scope, b'user-agent'))
        secret, session = self._sessions.start(is_phone=False, name=device_name(agent), address=address)
        cookies.new = cookie_header(secret, self._rules.port)
        return session


def once_more() -> Response:
    """Page that asks for its own address once more."""
    return HTMLResponse(ONCE_MORE)


def _not_let_in() -> Refusal:
    return Refusal(
        403,
        "This device has not been let in.",
        'On the computer, choose "Photos from a phone" and point this device\'s camera at the picture shown there. '
        "If this is the computer itself, open the page under the name localhost.",
    )


class _AskOnceMore(Exception):
    """The browser may have our cookie, but did not send it."""


class _Cookies:
    """Sets the cookie of a new session on the answer."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.new: str | None = None

    async def send(self, message: Message) -> None:
        """Send a message of the answer."""
        if self.new is not None and message['type'] == 'http.response.start':
            MutableHeaders(scope=message).append('Set-Cookie', self.new)
        await self._send(message)
