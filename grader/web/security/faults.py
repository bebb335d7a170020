"""A fault of our own, told in words; the details go to the terminal."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from grader.version import __version__
from grader.web.security.refusal import Answer, Refusal


class FaultsInWords:
    """ASGI layer that answers a fault of the program with a page, and lets the fault go on to the server's log."""

    def __init__(self, app: ASGIApp, answer: Answer) -> None:
        self.app = app
        self._answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on; answer a fault, then raise it."""
        has_started = False

        async def note_and_send(message: Message) -> None:
            nonlocal has_started
            has_started = True
            await send(message)

        try:
            await self.app(scope, receive, note_and_send)
        except Exception:
            if scope['type'] == 'http' and not has_started:
                await self._answer(scope, _our_fault())(scope, receive, send)
            raise


def _our_fault() -> Refusal:
    return Refusal(
        500,
        f"This is a fault in grader {__version__}, not in what you did. Your collection is as it was before this step.",
        "Please report it, with what the window says in which the program was started.",
    )
