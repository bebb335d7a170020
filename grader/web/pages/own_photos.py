"""The owner's photos of a piece."""

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response
from starlette.routing import Route

from calib.errors import ActionableError
from grader.web.answer import go_to, page, status_of
from grader.web.desk import desk_of
from grader.web.own_photos import change_own_photos, photo_forms, take_own_photos
from grader.web.piece_changes import shown_piece
from grader.web.piece_page import title_of


def show(request: Request) -> Response:
    """The photos, and a form to send more."""
    return _page(request)


async def add(request: Request) -> Response:
    """Take photos in."""
    desk, piece_id = desk_of(request), request.path_params['id']
    await run_in_threadpool(desk.piece, piece_id)
    try:
        refused = await take_own_photos(
            desk.jobs, desk.place, piece_id, request.headers.get('content-type', ''), request.stream()
        )
    except ClientDisconnect:
        return Response(status_code=400)  # nobody reads it
    if refused:
        return await run_in_threadpool(_page, request, status=422, refused=refused)
    return go_to(f'/pieces/{piece_id}/photos')


async def keep(request: Request) -> Response:
    """Describe them, put them in order, take some out."""
    form = dict(await request.form())
    return await run_in_threadpool(_keep, request, form)


def _keep(request: Request, form: dict[str, Any]) -> Response:
    desk, piece_id = desk_of(request), request.path_params['id']
    wanted = photo_forms(form)
    try:
        conflict = change_own_photos(desk.place, piece_id, str(form.get('was', '')), wanted, desk.now())
    except ActionableError as err:
        return _page(request, status=status_of(err), problem=err, wanted=wanted)
    if conflict is not None:
        return _page(request, status=409, is_conflict=True, wanted=wanted)
    return go_to(f'/pieces/{piece_id}')


def _page(request: Request, *, status: int = 200, **news: Any) -> Response:
    shown = shown_piece(desk_of(request).piece(request.path_params['id']))
    piece = shown.stored.piece
    content: dict[str, Any] = {'refused': (), 'problem': None, 'is_conflict': False, 'wanted': ()} | news
    typed = {one.file: one for one in content['wanted']}
    return page(
        request, 'own_photos.html', status=status, piece=piece, title=title_of(piece), was=shown.was, typed=typed,
        **content,
    )  # fmt: skip


ROUTES = (
    Route('/pieces/{id}/photos', show, methods=['GET']),
    Route('/pieces/{id}/photos', add, methods=['POST']),
    Route('/pieces/{id}/photos/keep', keep, methods=['POST']),
)
