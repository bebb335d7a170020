"""How large a request may be, how slow, and how many at once."""

import asyncio
from collections.abc import Callable

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from grader.web.security.constants import (
    BODY_GRACE_S,
    BODY_PAUSE_S,
    MAX_FORM_BYTES,
    MAX_UPLOADS,
    SEND_LIMIT_S,
    SLOWEST_BYTES_PER_S,
)
from grader.web.security.refusal import Answer, Refusal
from grader.web.security.request_shape import header_values

LargestBody = Callable[[str], int]
"""Bytes that a request to a path may have."""


class BodyLimits:
    """ASGI layer that ends what is too large, too slow or too much at once, with an answer in words.

    Parameters
    ----------
    app : ASGIApp
        What the request is passed on to.
    largest : LargestBody
        Bytes that the body of a request to a path may have.
    answer : Answer
        Makes the answer to a refused request.
    clock : Callable[[], float]
        Seconds that only ever grow.
    """

    def __init__(self, app: ASGIApp, largest: LargestBody, answer: Answer, clock: Callable[[], float]) -> None:
        self.app = app
        self._largest = largest
        self._answer = answer
        self._clock = clock
        self._n_uploads = 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or answer that it is too much."""
        if scope['type'] != 'http':
            await self.app(scope, receive, send)
            return
        body = _Body(receive, self._largest(scope['path']), self._clock, self._take_turn)
        sending = _Sending(send)
        try:
            body.check_announced(header_values(scope, b'content-length'))
            await self.app(scope, body.receive, sending.send)
        except Refusal as refusal:
            if not sending.has_started:
                await self._answer(scope, refusal)(scope, receive, sending.send)
        except _ReaderGone:
            pass  # nobody reads: the server closes the connection of an answer that is not finished
        finally:
            self._n_uploads -= body.has_turn

    def _take_turn(self) -> None:
        if self._n_uploads >= MAX_UPLOADS:
            raise Refusal(
                503,
                "More photos are being sent at this moment than can be taken in at once.",
                "Wait until the others are through, and send these again.",
                {'Retry-After': '5'},
            )
        self._n_uploads += 1


class _Body:
    """The body of a request, counted and timed."""

    def __init__(
        self, receive: Receive, n_most: int, clock: Callable[[], float], take_turn: Callable[[], None]
    ) -> None:
        self._receive = receive
        self._n_most = n_most
        self._clock = clock
        self._take_turn = take_turn
        self._n_bytes = 0
        self._began_s: float | None = None
        self._is_over = False
        self.has_turn = False

    def check_announced(self, lengths: list[str]) -> None:
        """Refuse a body that says beforehand that it is too large."""
        if any(not one.isascii() or not one.isdigit() or int(one) > self._n_most for one in lengths):
            raise self._too_large()

    async def receive(self) -> Message:
        """The next message; after the body, whatever comes, and as late as it likes."""
        if self._is_over:
            return await self._receive()
        if self._began_s is None:
            self._began_s = self._clock()
            if self._n_most > MAX_FORM_BYTES:
                self._take_turn()
                self.has_turn = True
        try:
            message = await asyncio.wait_for(self._receive(), BODY_PAUSE_S)
        except TimeoutError as err:
            raise _too_slow() from err
        self._count(message)
        return message

    def _count(self, message: Message) -> None:
        self._n_bytes += len(message.get('body', b''))
        self._is_over = message['type'] != 'http.request' or not message.get('more_body', False)
        if self._n_bytes > self._n_most:
            raise self._too_large()
        taken_s = self._clock() - (self._began_s or 0.0)
        if taken_s > BODY_GRACE_S + self._n_bytes / SLOWEST_BYTES_PER_S:
            raise _too_slow()

    def _too_large(self) -> Refusal:
        return Refusal(
            413,
            f"That is too much at once: at most {_words_for_bytes(self._n_most)} are taken in.",
            "Send fewer or smaller files at a time. Nothing was stored.",
        )


class _Sending:
    """The answer on its way; notes whether it has begun, and gives up where nobody reads it."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.has_started = False

    async def send(self, message: Message) -> None:
        """Send a message."""
        self.has_started = True
        try:
            await asyncio.wait_for(self._send(message), SEND_LIMIT_S)
        except TimeoutError as err:
            raise _ReaderGone from err


class _ReaderGone(Exception):
    """Nobody reads the answer."""


def _too_slow() -> Refusal:
    return Refusal(
        408,
        "The connection was too slow, or broke off, so nothing was stored.",
        "Go nearer to the router, or copy the photos to this computer another way, and send them again.",
    )


def _words_for_bytes(n_bytes: int) -> str:
    for unit, name in ((1 << 30, 'GB'), (1 << 20, 'MB')):
        if n_bytes >= unit:
            return f"{n_bytes // unit} {name}"
    return f"{n_bytes // 1000} kB"
