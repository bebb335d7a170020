"""What one needs to know before the first photo, and the card to print."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.web.answer import page


def show(request: Request) -> Response:
    """How to photograph, and cautions."""
    return page(request, 'help.html')


ROUTES = (Route('/help', show),)
