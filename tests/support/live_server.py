"""A page served on a free port of this computer, in a thread, for tests in a real browser or with raw sockets."""

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import uvicorn

AsgiApp = Callable[..., Any]

# Source: chosen: starting takes well under a second; a machine under load may take several.
START_LIMIT_S = 20.0


@contextmanager
def served(make_app: Callable[[int], AsgiApp], host: str = '127.0.0.1', **settings: Any) -> Iterator[str]:
    """Address, such as ``http://127.0.0.1:40123``, under which an app answers until the block is left.

    Parameters
    ----------
    make_app : Callable[[int], AsgiApp]
        Makes the app once its port is known.
    host : str
        Address to listen at; "0.0.0.0" for all of this computer's.
    **settings : Any
        Further settings of uvicorn.
    """
    listening = socket.create_server((host, 0))
    port = listening.getsockname()[1]
    started = threading.Event()
    config = uvicorn.Config(make_app(port), log_level='warning', **{'lifespan': 'auto', 'ws': 'none', **settings})
    server = _ToldServer(config, started)
    thread = threading.Thread(target=server.run, kwargs={'sockets': [listening]}, daemon=True)
    thread.start()
    try:
        assert started.wait(START_LIMIT_S), 'the server did not start'
        yield f'http://127.0.0.1:{port}'  # under which it answers at "0.0.0.0", too
    finally:
        server.should_exit = True
        thread.join(START_LIMIT_S)
        listening.close()
    assert not thread.is_alive(), 'the server did not stop'


class _ToldServer(uvicorn.Server):
    """Server that tells when it has started, so that nobody has to ask again and again."""

    def __init__(self, config: uvicorn.Config, started: threading.Event) -> None:
        super().__init__(config)
        self._told = started

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._told.set()
