"""The server's side of a connection: it waits neither for a request's head nor for its leftovers for ever."""

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

from grader.web.security.addresses import is_this_computer
from grader.web.security.constants import (
    HEAD_LIMIT_S,
    KEEP_ALIVE_S,
    LEFTOVER_LIMIT_S,
    MAX_CONNECTIONS,
    MAX_CONNECTIONS_PER_ADDRESS,
    MAX_HEADER_BYTES,
)


def server_settings() -> dict[str, Any]:
    """Settings of uvicorn that belong to the page's safety."""
    return {
        'http': PatientProtocol,
        'ws': 'none',
        'h11_max_incomplete_event_size': MAX_HEADER_BYTES,
        'limit_concurrency': MAX_CONNECTIONS,
        'timeout_keep_alive': KEEP_ALIVE_S,
        # Who asks is whoever is connected, not whom a header names.
        'proxy_headers': False,
        'server_header': False,
        # No log of requests: they tell what is in the collection.
        'access_log': False,
    }


class PatientProtocol(H11Protocol):
    """Connection that is closed when a request's head takes too long, or one address holds too many connections.

    A request's body is timed by `limits.BodyLimits`, an idle connection by uvicorn.
    """

    _deadline: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a head."""
        super().connection_made(transport)
        if self._has_too_many():
            transport.close()
            return
        self._wait_for_head()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing more."""
        self._stop_waiting()
        super().connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        """Begin to wait with the first byte of the next head; stop when it is whole."""
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._stop_waiting()
        elif self._deadline is None:
            self._wait_for_head()

    def on_response_complete(self) -> None:
        """Wait for what the client still sends of a body that nobody reads."""
        super().on_response_complete()
        if self.cycle is not None and self.cycle.more_body:
            self._stop_waiting()
            self._deadline = self.loop.call_later(LEFTOVER_LIMIT_S, self._give_up)

    def _wait_for_head(self) -> None:
        self._deadline = self.loop.call_later(HEAD_LIMIT_S, self._give_up)

    def _stop_waiting(self) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None

    def _give_up(self) -> None:
        self._deadline = None
        if not self.transport.is_closing():
            self.transport.close()

    def _has_too_many(self) -> bool:
        address = _address_of(self)
        if is_this_computer(address):
            return False
        return sum(_address_of(one) == address for one in self.connections) > MAX_CONNECTIONS_PER_ADDRESS


def _address_of(connection: object) -> str:
    client = getattr(connection, 'client', None)
    return str(client[0]) if client else ''
