"""Comparing two examinations of a piece, and looking at what came of it."""

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from calib.errors import ActionableError
from grader.report.compare_page import text_of_part
from grader.web.answer import go_to, page, status_of
from grader.web.attachments import disposition, file_name
from grader.web.compare_choice import MOST_SIZES, checked_choice, choices_of
from grader.web.compare_job import compare_examinations
from grader.web.comparison_view import (
    DOWNLOADS,
    comparison_parts,
    download_file,
    picture_file,
    stored_comparison,
)
from grader.web.desk import desk_of

_KEEP = {'Cache-Control': 'private, max-age=86400'}
_VIEWER_TYPES = {'compare_viewer.js': 'text/javascript', 'compare_viewer.css': 'text/css'}


def choose(request: Request) -> Response:
    """Page on which the two examinations are chosen."""
    return _choice_page(request)


async def start(request: Request) -> Response:
    """Begin the comparison."""
    async with request.form(max_files=0, max_fields=4 + MOST_SIZES) as form:
        before, after = str(form.get('before', '')), str(form.get('after', ''))
        stated = [str(text) for text in form.getlist('stated')]
    return await run_in_threadpool(_start, request, before, after, stated)


def show(request: Request) -> Response:
    """Page of a comparison."""
    piece = desk_of(request).piece(request.path_params['piece_id'])
    number = request.path_params['number']
    at_hand = stored_comparison(piece, number)
    address = f'/pieces/{piece.piece.id}/comparisons/{number}'
    parts = comparison_parts(piece, at_hand, address)
    return page(request, 'comparison.html', piece=piece.piece, number=number, address=address, parts=parts)


def show_picture(request: Request) -> Response:
    """A picture of the page."""
    piece = desk_of(request).piece(request.path_params['piece_id'])
    path = picture_file(piece, request.path_params['number'], request.path_params['name'])
    return FileResponse(path, media_type='image/jpeg', headers=_KEEP)


def fetch(request: Request) -> Response:
    """A file of the comparison, to be saved."""
    piece, number = desk_of(request).piece(request.path_params['piece_id']), request.path_params['number']
    name = request.path_params['name']
    path = download_file(piece, number, name)
    saved = file_name(piece.piece, f"comparison {number}", path.suffix)
    return FileResponse(path, media_type=DOWNLOADS[name], headers={'Content-Disposition': disposition(saved)})


def viewer_file(request: Request) -> Response:
    """Script and style of the viewer, the same as in a comparison's own page."""
    name = request.path_params['name']
    if name not in _VIEWER_TYPES:
        return Response(status_code=404)
    return Response(text_of_part(name), media_type=_VIEWER_TYPES[name], headers=_KEEP)


def _start(request: Request, before: str, after: str, stated: list[str]) -> Response:
    desk = desk_of(request)
    piece = desk.piece(request.path_params['piece_id'])
    try:
        chosen = checked_choice(piece.folder, before, after, stated)
    except ActionableError as err:
        return _choice_page(request, err, (before, after), stated)
    back_to = f'/pieces/{piece.piece.id}/compare'
    token, _ = desk.jobs.submit(
        'long', "Comparing", back_to, compare_examinations, desk.root, piece.folder, piece.piece.id, chosen.before,
        chosen.after, chosen.stated,
    )  # fmt: skip
    return go_to(f'/jobs/{token}')


def _choice_page(
    request: Request,
    err: ActionableError | None = None,
    chosen: tuple[str, str] = ('', ''),
    stated: list[str] | None = None,
) -> Response:
    piece = desk_of(request).piece(request.path_params['piece_id'])
    choices = choices_of(piece.folder)
    return page(
        request,
        'compare.html',
        status=200 if err is None else status_of(err),
        piece=piece.piece,
        choices=choices,
        before=chosen[0] or str(choices.before),
        after=chosen[1] or str(choices.after),
        stated=((stated or []) + ['', ''])[:2],
        fault=err,
    )


ROUTES = (
    Route('/pieces/{piece_id}/compare', choose),
    Route('/pieces/{piece_id}/compare', start, methods=['POST']),
    Route('/pieces/{piece_id}/comparisons/{number:int}', show),
    Route('/pieces/{piece_id}/comparisons/{number:int}/pictures/{name}', show_picture),
    Route('/pieces/{piece_id}/comparisons/{number:int}/files/{name}', fetch),
    Route('/compare-viewer/{name}', viewer_file),
)
