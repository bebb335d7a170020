"""All layers that stand before the pages, in their order."""

from collections.abc import Callable, Mapping

from starlette.middleware import Middleware

from grader.web.security.constants import MAX_FORM_BYTES
from grader.web.security.faults import FaultsInWords
from grader.web.security.gate import Gate, GateRules
from grader.web.security.headers import SafeHeaders
from grader.web.security.limits import BodyLimits
from grader.web.security.refusal import Answer
from grader.web.security.sessions import Sessions

# For everybody, let in or not: the page that takes a code, and what it needs to look like one.
OPEN_PATHS = ('/pair',)
OPEN_FOLDERS = ('/static/',)


def is_open(path: str) -> bool:
    """Whether a path is for everybody."""
    return path in OPEN_PATHS or path.startswith(OPEN_FOLDERS)


def safety_layers(
    *,
    port: int,
    share: bool,
    sessions: Sessions,
    answer: Answer,
    clock: Callable[[], float],
    large_bodies: Mapping[str, int],
) -> list[Middleware]:
    """Layers that each request passes, the first one first.

    Parameters
    ----------
    port : int
        Port that is served.
    share : bool
        Whether devices of the home network may ask.
    sessions : Sessions
        Browsers that are in.
    answer : Answer
        Makes the answer to a refused request.
    clock : Callable[[], float]
        Seconds that only ever grow.
    large_bodies : Mapping[str, int]
        Last part of a path, and the bytes that a request to such a path may have; all others are small forms.
    """

    def largest(path: str) -> int:
        return large_bodies.get(path.rpartition('/')[2], MAX_FORM_BYTES)

    return [
        Middleware(SafeHeaders),
        Middleware(FaultsInWords, answer=answer),
        Middleware(BodyLimits, largest=largest, answer=answer, clock=clock),
        Middleware(Gate, rules=GateRules(port, share, is_open), sessions=sessions, answer=answer),
    ]
