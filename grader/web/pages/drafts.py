"""Photos that wait to be examined: gathered, judged at once, and examined."""

from collections.abc import Sequence
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from calib.errors import ActionableError
from grader.web.answer import go_to, page, status_of, wants_json
from grader.web.desk import Desk, desk_of
from grader.web.draft import Draft
from grader.web.draft_checks import get_ready, start_checks
from grader.web.draft_options import DraftChanged, Told, told_from, with_profile, with_told
from grader.web.draft_photos import remove_photo
from grader.web.draft_view import camera_time_words, draft_lines, photo_card, summary_of, views_of
from grader.web.drafts import begin_draft, change_draft, discard_draft, preview_of, read_draft, waiting_drafts
from grader.web.examine_job import check_not_examined, is_examined, last_fault, start_examination
from grader.web.piece_page import title_of
from grader.web.take_photos import take_photos, take_profile
from grader.web.upload_constants import MAX_DRAFT_PHOTOS


def choose(request: Request) -> Response:
    """Begin, or go on with photos that wait."""
    desk = desk_of(request)
    stored = desk.piece(request.path_params['id'])
    drafts = draft_lines(waiting_drafts(desk.place, stored.piece.id))
    return page(request, 'draft_begin.html', piece=stored.piece, title=title_of(stored.piece), drafts=drafts)


def begin(request: Request) -> Response:
    """Begin to gather photos."""
    desk = desk_of(request)
    piece_id = desk.piece(request.path_params['id']).piece.id
    return go_to(begin_draft(desk.place, piece_id, desk.now()).address)


def show(request: Request) -> Response:
    """The photos, and what is known of them."""
    return _page(request, *_ids(request))


def parts(request: Request) -> Response:
    """The part of the page that changes as photos are judged, for the page's own program."""
    desk, (piece_id, token) = desk_of(request), _ids(request)
    draft = start_checks(desk.jobs, desk.place, piece_id, token)
    return page(request, 'draft_parts.html', **_photos(draft))


async def add(request: Request) -> Response:
    """Take photos in."""
    desk, (piece_id, token) = desk_of(request), _ids(request)
    await run_in_threadpool(_check_open, desk, piece_id, token)
    try:
        added = await take_photos(
            desk.jobs, desk.place, piece_id, token, request.headers.get('content-type', ''), request.stream()
        )
    except ClientDisconnect:
        return Response(status_code=400)  # nobody reads it
    if wants_json(request):
        refused = [{'name': one.name, 'problem': one.problem, 'remedy': one.remedy} for one in added.refused]
        return JSONResponse({'taken': added.names, 'refused': refused}, 422 if refused else 201)
    if added.refused:
        return await run_in_threadpool(_page, request, piece_id, token, status=422, refused=added.refused)
    return go_to(added.draft.address)


def picture(request: Request) -> Response:
    """Small picture of a photo."""
    desk = desk_of(request)
    draft = read_draft(desk.place, *_ids(request))
    path = preview_of(desk.place, draft, request.path_params['key'])
    return FileResponse(path, media_type='image/jpeg', headers={'Cache-Control': 'private, max-age=86400'})


async def remove(request: Request) -> Response:
    """Take a photo out."""
    return await _with_form(request, _remove)


async def tell(request: Request) -> Response:
    """Keep what the owner tells of the photos."""
    return await _with_form(request, _tell)


async def examine(request: Request) -> Response:
    """Keep what the owner tells, and examine."""
    return await _with_form(request, _examine)


async def use_profile(request: Request) -> Response:
    """Use a camera's own profile."""
    desk, (piece_id, token) = desk_of(request), _ids(request)
    await run_in_threadpool(_check_open, desk, piece_id, token)
    try:
        draft = await take_profile(
            desk.place, piece_id, token, request.headers.get('content-type', ''), request.stream()
        )
    except ClientDisconnect:
        return Response(status_code=400)  # nobody reads it
    return go_to(draft.address)


def use_no_profile(request: Request) -> Response:
    """Use the usual camera again."""
    desk, (piece_id, token) = desk_of(request), _ids(request)
    _check_open(desk, piece_id, token)
    return go_to(change_draft(desk.place, piece_id, token, lambda draft: with_profile(draft, b'')).address)


def discard(request: Request) -> Response:
    """Take all photos away."""
    desk, (piece_id, token) = desk_of(request), _ids(request)
    _check_open(desk, piece_id, token)
    discard_draft(desk.place, piece_id, token)
    return go_to(f'/pieces/{piece_id}')


async def _with_form(request: Request, act: Any) -> Response:
    form = await request.form()
    fields = [(name, value) for name, value in form.multi_items() if isinstance(value, str)]
    return await run_in_threadpool(act, request, told_from(fields))


def _remove(request: Request, told: Told) -> Response:
    desk, (piece_id, token) = desk_of(request), _ids(request)
    _check_open(desk, piece_id, token)
    remove_photo(desk.place, piece_id, token, request.path_params['key'])
    # The form holds what else was told and is not kept yet.
    return _tell(request, told)


def _tell(request: Request, told: Told) -> Response:
    try:
        return _done(request, _keep(request, told))
    except DraftChanged:
        return _changed_meanwhile(request, told)
    except ActionableError as err:
        return _fault(request, told, err)


def _examine(request: Request, told: Told) -> Response:
    desk, (piece_id, token) = desk_of(request), _ids(request)
    draft = read_draft(desk.place, piece_id, token)
    if is_examined(desk.jobs, draft):
        return go_to(f'/jobs/{draft.examine_job}')
    try:
        _keep(request, told)
        return go_to(f'/jobs/{start_examination(desk.jobs, desk.place, piece_id, token)}')
    except DraftChanged:
        return _changed_meanwhile(request, told)
    except ActionableError as err:
        return _fault(request, told, err)


def _keep(request: Request, told: Told) -> Draft:
    desk, (piece_id, token) = desk_of(request), _ids(request)
    _check_open(desk, piece_id, token)
    return change_draft(desk.place, piece_id, token, lambda draft: with_told(draft, told))


def _done(request: Request, draft: Draft) -> Response:
    return JSONResponse({'n_changes': draft.n_changes}) if wants_json(request) else go_to(draft.address)


def _fault(request: Request, told: Told, err: ActionableError) -> Response:
    """The page with what was typed, and what is wrong with it."""
    if wants_json(request):
        raise err
    return _page(request, *_ids(request), status=status_of(err), fault=err, told=told)


def _changed_meanwhile(request: Request, told: Told) -> Response:
    """The page as it is now, with what was told in the other window, and what was told here."""
    if wants_json(request):
        words = "These photos were changed in another window meanwhile, so this was not kept."
        return JSONResponse({'problem': words, 'remedy': "Load the page anew, and tell it once more."}, 409)
    return _page(request, *_ids(request), status=409, other=told)


def _page(request: Request, piece_id: str, token: str, *, status: int = 200, **news: Any) -> Response:
    desk = desk_of(request)
    stored = desk.piece(piece_id)
    get_ready(desk.jobs)
    draft = start_checks(desk.jobs, desk.place, piece_id, token)
    content: dict[str, Any] = {'fault': None, 'told': None, 'other': None, 'refused': ()} | news
    names = {photo.key: photo.name for photo in draft.photos}
    return page(
        request,
        'draft.html',
        status=status,
        piece=stored.piece,
        title=title_of(stored.piece),
        names_of=lambda keys: ", ".join(names[key] for key in keys if key in names) or "none",
        last_fault=last_fault(desk.jobs, draft),
        max_photos=MAX_DRAFT_PHOTOS,
        is_examined=is_examined(desk.jobs, draft),
        others=draft_lines([one for one in waiting_drafts(desk.place, piece_id) if one.token != token]),
        **_photos(draft),
        **content,
    )


def _photos(draft: Draft) -> dict[str, Any]:
    # The newest first: that is the one whose verdict is waited for.
    cards = [photo_card(photo) for photo in reversed(draft.photos)]
    return {
        'draft': draft,
        'cards': cards,
        'views': views_of(draft),
        'summary': summary_of(cards),
        'camera_time': camera_time_words(draft),
    }


def _check_open(desk: Desk, piece_id: str, token: str) -> None:
    check_not_examined(desk.jobs, read_draft(desk.place, piece_id, token))


def _ids(request: Request) -> tuple[str, str]:
    return request.path_params['id'], request.path_params['token']


_DRAFT = '/pieces/{id}/drafts/{token}'
ROUTES: Sequence[Route] = (
    Route('/pieces/{id}/drafts/new', choose),
    Route('/pieces/{id}/drafts/new', begin, methods=['POST']),
    Route(_DRAFT, show),
    Route(f'{_DRAFT}/parts', parts),
    Route(f'{_DRAFT}/photos', add, methods=['POST']),
    Route(f'{_DRAFT}/photos/{{key}}', picture),
    Route(f'{_DRAFT}/photos/{{key}}/remove', remove, methods=['POST']),
    Route(f'{_DRAFT}/told', tell, methods=['POST']),
    Route(f'{_DRAFT}/examine', examine, methods=['POST']),
    Route(f'{_DRAFT}/profile', use_profile, methods=['POST']),
    Route(f'{_DRAFT}/profile-away', use_no_profile, methods=['POST']),
    Route(f'{_DRAFT}/discard', discard, methods=['POST']),
)
