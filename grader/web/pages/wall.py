"""The wall of pieces: all of them, a search, and the first page of a folder without a collection."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.collection.place import COLLECTION_FILE, create_place
from grader.web.answer import go_to, page
from grader.web.desk import desk_of
from grader.web.shelf import ORDERS, ShelfWish, read_shelf, wish_from

PART_HEADER = 'x-part'
"""Header by which the page's own program asks for the cards alone."""


def show(request: Request) -> Response:
    """All pieces; where there is no collection yet, the offer to make one."""
    desk = desk_of(request)
    if not (desk.root / COLLECTION_FILE).exists():
        return page(request, 'first.html', folder=str(desk.root))
    return _shelf(request, ShelfWish())


async def search(request: Request) -> Response:
    """Pieces in which words occur, in an order. Words never stand in an address, so this is a POST."""
    form = await request.form()
    wish = wish_from(*(str(form.get(name, '')) for name in ('words', 'order', 'start')))
    return await run_in_threadpool(_shelf, request, wish)


def begin(request: Request) -> Response:
    """Make the collection; asked twice, it is there already."""
    root = desk_of(request).root
    if not (root / COLLECTION_FILE).exists():
        create_place(root)
    return go_to('/')


def _shelf(request: Request, wish: ShelfWish) -> Response:
    shelf = read_shelf(desk_of(request).place, wish)
    template = 'wall_part.html' if PART_HEADER in request.headers else 'wall.html'
    return page(request, template, shelf=shelf, orders=ORDERS)


ROUTES = (
    Route('/', show),
    Route('/search', search, methods=['POST']),
    Route('/begin', begin, methods=['POST']),
)
