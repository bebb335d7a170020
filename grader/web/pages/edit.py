"""Adding a piece, and changing what is known of one."""

from collections.abc import Mapping
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from calib.errors import ActionableError
from grader.errors import PieceNotFound
from grader.web.answer import go_to, page, status_of
from grader.web.desk import desk_of
from grader.web.piece_changes import Conflict, Edited, add_from_form, edit_from_form, shown_piece
from grader.web.piece_conflict import CHOICE
from grader.web.piece_form import GROUPS, filled, texts_of

_NO_TEXT = "Nothing is said of the piece yet: fill in a title at least."
_GONE = "This piece is no longer in the collection: it was removed meanwhile. What you wrote is still here."


def new(request: Request) -> Response:
    """An empty form."""
    return _form(request, {})


async def add(request: Request) -> Response:
    """Add the piece."""
    sent = dict(await request.form())
    return await run_in_threadpool(_add, request, sent)


def edit(request: Request) -> Response:
    """The form of a piece, with the state in which it is shown."""
    shown = shown_piece(desk_of(request).piece(request.path_params['id']))
    return _form(request, texts_of(shown.stored.piece), piece_id=shown.stored.piece.id, was=shown.was)


async def save(request: Request) -> Response:
    """Change the piece, unless it was changed meanwhile: then both are shown."""
    sent = dict(await request.form())
    return await run_in_threadpool(_save, request, sent)


def _add(request: Request, sent: Mapping[str, Any]) -> Response:
    form = filled(sent)
    if form.is_empty:
        return _form(request, form.values, faults={'title': _NO_TEXT}, status=422)
    if form.faults:
        return _form(request, form.values, faults=form.faults, status=422)
    try:
        return go_to(f'/pieces/{add_from_form(desk_of(request).place, form).id}')
    except ActionableError as err:
        return _form(request, form.values, problem=err, status=status_of(err))


def _save(request: Request, sent: Mapping[str, Any]) -> Response:
    piece_id, was = request.path_params['id'], str(sent.get('was', ''))
    try:
        result = edit_from_form(desk_of(request).place, piece_id, sent)
    except PieceNotFound:
        return _form(request, filled(sent).values, notice=_GONE, status=404)
    except ActionableError as err:
        return _form(request, filled(sent).values, piece_id=piece_id, was=was, problem=err, status=status_of(err))
    if isinstance(result, Edited):
        return go_to(f'/pieces/{piece_id}')
    if isinstance(result, Conflict):
        return page(
            request, 'conflict.html', status=409, conflict=result, choice=CHOICE, piece=result.shown.stored.piece
        )
    return _form(request, result.form.values, piece_id=piece_id, was=was, faults=result.form.faults, status=422)


def _form(
    request: Request,
    values: Mapping[str, str],
    *,
    piece_id: str = '',
    was: str = '',
    faults: Mapping[str, str] | None = None,
    problem: ActionableError | None = None,
    notice: str = '',
    status: int = 200,
) -> Response:
    """The form: of a piece with an id, else for a new one. What was typed is always still in it."""
    return page(
        request, 'piece_form.html', status=status, groups=GROUPS, values=values, faults=faults or {}, problem=problem,
        notice=notice, piece_id=piece_id, was=was,
    )  # fmt: skip


ROUTES = (
    Route('/pieces/new', new, methods=['GET']),
    Route('/pieces/new', add, methods=['POST']),
    Route('/pieces/{id}/edit', edit, methods=['GET']),
    Route('/pieces/{id}/edit', save, methods=['POST']),
)
