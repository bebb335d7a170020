"""The server: a socket, and uvicorn on it."""

import socket

import uvicorn
from starlette.applications import Starlette

from grader.errors import PortTaken
from grader.web.security.patient_protocol import server_settings


def listening_socket(host: str, port: int) -> socket.socket:
    """Socket on a port of this computer; 0 takes any free one.

    Raises
    ------
    PortTaken
        If another program has it.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((host, port))
        # From here on a browser that comes before the server is ready waits instead of being refused.
        found.listen()
    except (OSError, OverflowError) as err:
        found.close()
        raise PortTaken(
            f"Port {port} cannot be used ({getattr(err, 'strerror', None) or err}).",
            "The page may be open already; else give another number with --port, or 0 for any that is free.",
        ) from err
    return found


def run_server(app: Starlette, listening: socket.socket) -> None:
    """Answer requests until the user stops the program."""
    config = uvicorn.Config(
        app,
        log_level='warning',
        lifespan='on',
        timeout_graceful_shutdown=2,
        **server_settings(),
    )
    uvicorn.Server(config).run(sockets=[listening])
