"""Sealing an examination or a comparison, fetching sealed bags, and checking them."""

import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import BinaryIO

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from calib.errors import ActionableError
from grader.collection.piece_folder import StoredPiece
from grader.collection.sealed import SealedKind
from grader.commands.seal_store import Subject, subject_in, subjects_in
from grader.errors import OutputNotWritable, RecordUnreadable
from grader.evidence.constants import BLOCK_BYTES
from grader.evidence.seal_key import fingerprint_at
from grader.evidence.wording import SEAL_PROVES, SEAL_PROVES_NOT
from grader.web.answer import go_to, page, status_of
from grader.web.attachments import disposition, file_name
from grader.web.check_seal import check_bags, check_zip, typed_fingerprints
from grader.web.desk import desk_of
from grader.web.seal_act import seal_now
from grader.web.seal_view import bag_of, bag_rows, folder_of_bags, key_facts, latest_bag_of, seal_offer
from grader.web.sealed_zip import packed_zip


def ask(request: Request) -> Response:
    """Page that says what would be sealed, and what that proves."""
    return _ask_page(request)


async def seal(request: Request) -> Response:
    """Seal it."""
    async with request.form(max_files=0, max_fields=4) as form:
        shown, when = str(form.get('shown', '')), str(form.get('when', ''))
    return await run_in_threadpool(_seal, request, shown, when)


def list_bags(request: Request) -> Response:
    """All sealed bags of a piece."""
    return _bags_page(request)


def check_stored(request: Request) -> Response:
    """Check all sealed bags of a piece, as one chain."""
    return _bags_page(request, is_checked=True)


async def check_stored_by_key(request: Request) -> Response:
    """The same, with the fingerprints of the keys that should have signed."""
    async with request.form(max_files=0, max_fields=4) as form:
        typed = str(form.get('fingerprints', ''))
    return await run_in_threadpool(_bags_page, request, is_checked=True, typed=typed)


def fetch_bag(request: Request) -> Response:
    """One sealed bag as a zip file."""
    piece = _piece(request)
    return _zip_answer(piece, [bag_of(piece.folder, request.path_params['number']).folder])


def fetch_latest(request: Request) -> Response:
    """The newest sealed bag of an examination or a comparison as a zip file."""
    piece = _piece(request)
    return _zip_answer(piece, [latest_bag_of(piece.folder, _subject(request, piece)).folder])


def fetch_all(request: Request) -> Response:
    """All sealed bags of a piece as a zip file."""
    piece = _piece(request)
    folder = folder_of_bags(piece.folder)
    return _zip_answer(piece, sorted(one for one in folder.iterdir() if not one.name.startswith('.')))


def ask_for_zip(request: Request) -> Response:
    """Page to which a zip file is given."""
    return _check_page(request)


async def check_sent(request: Request) -> Response:
    """Check a zip file that is sent."""
    try:
        form = await request.form(max_files=1, max_fields=4)
    except OSError as err:
        raise OutputNotWritable(
            f"The file cannot be taken in ({err.strerror or err}).", "Make room on the disk, then send it again."
        ) from err
    try:
        sent, typed = form.get('bag'), str(form.get('fingerprints', ''))
        if not isinstance(sent, UploadFile) or not sent.filename:
            fault = RecordUnreadable("No file was chosen.", "Choose the zip file of a sealed bag.")
            return _check_page(request, fault=fault, typed=typed)
        return await run_in_threadpool(_check_sent, request, sent.file, sent.filename, typed)
    finally:
        await form.close()


def _seal(request: Request, shown: str, when: str) -> Response:
    desk, piece = desk_of(request), _piece(request)
    try:
        seal_now(desk.place, piece.folder, _subject(request, piece), key_facts(desk.key).path, when, shown)
    except ActionableError as err:
        return _ask_page(request, err, when)
    return go_to(f'/pieces/{piece.piece.id}/sealed')


def _check_sent(request: Request, source: BinaryIO, name: str, typed: str) -> Response:
    own = fingerprint_at(key_facts(desk_of(request).key).path)
    try:
        report = check_zip(source, name, typed, own)
    except ActionableError as err:
        return _check_page(request, fault=err, typed=typed)
    return _check_page(request, report=report, typed=typed)


def _check_page(request: Request, **found: object) -> Response:
    fault = found.get('fault')
    content = {'fault': None, 'report': None, 'typed': '', **found}
    status = status_of(fault) if isinstance(fault, ActionableError) else 200
    return page(request, 'check_seal.html', status=status, **content)


def _ask_page(request: Request, fault: ActionableError | None = None, when: str = '') -> Response:
    desk, piece = desk_of(request), _piece(request)
    return page(
        request,
        'seal.html',
        status=200 if fault is None else status_of(fault),
        piece=piece.piece,
        offer=seal_offer(piece.folder, _subject(request, piece)),
        key=key_facts(desk.key),
        proves=SEAL_PROVES,
        proves_not=SEAL_PROVES_NOT,
        fault=fault,
        when=when,
    )


def _bags_page(request: Request, *, is_checked: bool = False, typed: str = '') -> Response:
    desk, piece = desk_of(request), _piece(request)
    key = key_facts(desk.key)
    rows = bag_rows(piece.folder, subjects_in(piece.folder))
    report, fault = None, None
    if is_checked:
        try:
            folder = folder_of_bags(piece.folder)
            report = check_bags(folder, typed_fingerprints(typed), fingerprint_at(key.path))
        except ActionableError as err:
            fault = err
    status = 200 if fault is None else status_of(fault)
    return page(
        request, 'sealed.html', status=status, piece=piece.piece, rows=rows, key=key, report=report, fault=fault,
        typed=typed,
    )  # fmt: skip


def _piece(request: Request) -> StoredPiece:
    return desk_of(request).piece(request.path_params['piece_id'])


def _subject(request: Request, piece: StoredPiece) -> Subject:
    kind: SealedKind = 'comparison' if request.url.path.split('/')[3] == 'comparisons' else 'examination'
    return subject_in(piece.folder, kind, request.path_params['number'])


def _zip_answer(piece: StoredPiece, bags: list[Path]) -> Response:
    """Bags as a zip file, which is gone from the disk once it is sent."""
    packed = packed_zip(bags)
    n_bytes = packed.seek(0, os.SEEK_END)
    packed.seek(0)
    words = f"sealed {bags[0].name[:4]}" if len(bags) == 1 else "all seals"
    headers = {
        'Content-Disposition': disposition(file_name(piece.piece, words, '.zip')),
        'Content-Length': str(n_bytes),
    }
    return StreamingResponse(_blocks(packed), media_type='application/zip', headers=headers)


def _blocks(packed: BinaryIO) -> Iterator[bytes]:
    with packed:
        yield from iter(partial(packed.read, BLOCK_BYTES), b'')


def _routes_of(kind: str) -> tuple[Route, ...]:
    start = f'/pieces/{{piece_id}}/{kind}/{{number:int}}'
    return (
        Route(f'{start}/seal', ask),
        Route(f'{start}/seal', seal, methods=['POST']),
        Route(f'{start}/sealed.zip', fetch_latest),
    )


ROUTES = (
    *_routes_of('examinations'),
    *_routes_of('comparisons'),
    Route('/pieces/{piece_id}/sealed', list_bags),
    Route('/pieces/{piece_id}/sealed/check', check_stored),
    Route('/pieces/{piece_id}/sealed/check', check_stored_by_key, methods=['POST']),
    Route('/pieces/{piece_id}/sealed/{number:int}.zip', fetch_bag),
    Route('/pieces/{piece_id}/sealed.zip', fetch_all),
    Route('/check-seal', ask_for_zip),
    Route('/check-seal', check_sent, methods=['POST']),
)
