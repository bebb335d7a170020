"""A piece: what is known of it, and its pictures."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.web.answer import go_to, page
from grader.web.desk import desk_of
from grader.web.piece_changes import remove_by_id
from grader.web.piece_page import history_picture, piece_page, title_of
from grader.web.served_picture import large_wish, main_wish, own_wish, served_picture


def show(request: Request) -> Response:
    """All that is known of a piece."""
    desk = desk_of(request)
    return page(request, 'piece.html', **piece_page(desk.place, request.path_params['id']))


def history(request: Request) -> Response:
    """Score, sizes and marks over time, drawn."""
    svg = history_picture(desk_of(request).piece(request.path_params['id']))
    return Response(svg, media_type='image/svg+xml')


def small(request: Request) -> Response:
    """Picture for the wall."""
    return served_picture(request, main_wish)


def large(request: Request) -> Response:
    """The same photo for the piece's page."""
    return served_picture(request, large_wish)


def own_small(request: Request) -> Response:
    """One of the owner's photos, small."""
    return served_picture(request, own_wish(request.path_params['n'], is_small=True))


def own_large(request: Request) -> Response:
    """One of the owner's photos."""
    return served_picture(request, own_wish(request.path_params['n'], is_small=False))


def ask_remove(request: Request) -> Response:
    """Ask before a piece is moved into the trash."""
    desk = desk_of(request)
    stored = desk.piece(request.path_params['id'])
    day = f'{desk.now():%Y-%m-%d}'
    return page(
        request, 'remove.html', piece=stored.piece, title=title_of(stored.piece), folder=stored.folder.name, day=day
    )


async def remove(request: Request) -> Response:
    """Move a piece into the trash."""
    desk = desk_of(request)
    await run_in_threadpool(remove_by_id, desk.place, request.path_params['id'], desk.now())
    return go_to('/')


ROUTES = (
    Route('/pieces/{id}', show),
    Route('/pieces/{id}/history.svg', history),
    Route('/pieces/{id}/picture', small),
    Route('/pieces/{id}/picture/large', large),
    Route('/pieces/{id}/pictures/{n:int}', own_large),
    Route('/pieces/{id}/pictures/{n:int}/small', own_small),
    Route('/pieces/{id}/remove', ask_remove, methods=['GET']),
    Route('/pieces/{id}/remove', remove, methods=['POST']),
)
