"""Reports to be saved: made in a process of their own, so that pages stay quick."""

import asyncio
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from grader.collection.piece_folder import StoredPiece
from grader.web.answer import fault_answer
from grader.web.attachments import disposition, file_name
from grader.web.desk import desk_of
from grader.web.jobs import JobFailed
from grader.web.report_files import HANDOVERS, MEDIA_TYPES, Form, condition_file, handover_file, report_words


async def condition(request: Request) -> Response:
    """Condition report of an examination."""
    form = _form(request)
    piece, number = await _piece(request), request.path_params['number']
    words = report_words('condition', number)
    return await _made(request, piece, words, form, condition_file, piece.folder, number, form)


async def handover(request: Request) -> Response:
    """Report of a comparison."""
    form, name = _form(request), request.url.path.rpartition('/')[2].partition('.')[0]
    piece, number = await _piece(request), request.path_params['number']
    words = report_words(name, number)
    return await _made(request, piece, words, form, handover_file, piece.folder, number, name, form)


async def _piece(request: Request) -> StoredPiece:
    return await run_in_threadpool(desk_of(request).piece, request.path_params['piece_id'])


def _form(request: Request) -> Form:
    return 'html' if request.url.path.endswith('.html') else 'pdf'


async def _made(request: Request, piece: StoredPiece, words: str, form: Form, work: Any, *arguments: Any) -> Response:
    _, future = desk_of(request).jobs.submit('short', f"Making the {words}", request.url.path, work, *arguments)
    try:
        data: bytes = await asyncio.wrap_future(future)
    except JobFailed as err:
        return fault_answer(request, 422, err.state.problem, err.state.remedy)
    name = file_name(piece.piece, words, f'.{form}')
    return Response(data, media_type=MEDIA_TYPES[form], headers={'Content-Disposition': disposition(name)})


_EXAMINATION, _COMPARISON = (
    '/pieces/{piece_id}/examinations/{number:int}',
    '/pieces/{piece_id}/comparisons/{number:int}',
)

ROUTES = (
    Route(f'{_EXAMINATION}/report.pdf', condition),
    Route(f'{_EXAMINATION}/report.html', condition),
    *(Route(f'{_COMPARISON}/{name}.{form}', handover) for name in HANDOVERS for form in MEDIA_TYPES),
)
