"""The name under which a request asks for us must be ours.

A page of somebody else's can point its own name at this computer's address ("DNS rebinding"); the browser then takes
our pages for that page's own. Such a request carries the foreign name in its header Host, which is how it is told.
"""

from starlette.types import Scope

from grader.web.security.refusal import Refusal
from grader.web.security.request_shape import header_values

LOCAL_NAMES = ('localhost', '127.0.0.1', '[::1]')
# A browser leaves this port out of the header Host.
HTTP_PORT = 80


def check_host(scope: Scope, port: int, *, share: bool) -> None:
    """Refuse a request that asks for another name than ours.

    Parameters
    ----------
    scope : Scope
        ASGI scope of an HTTP request.
    port : int
        Port that is served.
    share : bool
        Whether devices of the home network may ask; then the address at which the connection came in is ours too. That
        is an address, never a name, so nobody can point it elsewhere.

    Raises
    ------
    Refusal
        421 (RFC 9110, 15.5.20), or 400 where there is no name or more than one.
    """
    named = header_values(scope, b'host')
    if len(named) != 1:
        raise Refusal(400, "The request does not say whom it is for.", "Use an up-to-date browser.")
    if named[0].lower() not in own_hosts(scope, port, share=share):
        raise Refusal(
            421,
            "This page was asked for under a name that is not its own, as pages of others do that try to get in.",
            f"On this computer, open http://localhost:{port}/ yourself.",
        )


def own_hosts(scope: Scope, port: int, *, share: bool) -> frozenset[str]:
    """What the header Host may be, in small letters."""
    names = list(LOCAL_NAMES)
    server = scope.get('server')
    if share and server is not None:
        names.append(f'[{server[0]}]' if ':' in server[0] else server[0])
    with_port = {f'{name}:{port}' for name in names}
    return frozenset(with_port | set(names) if port == HTTP_PORT else with_port)
