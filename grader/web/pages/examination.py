"""The page of an examination: picture, marks, and what she says of them."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from grader.commands.review_store import review_of
from grader.errors import ReviewGrown
from grader.review.review import Review
from grader.web.answer import page
from grader.web.desk import Desk, desk_of
from grader.web.pictures import PhotoSource, photo_pixels, png_of, reduced_jpeg, tile_of
from grader.web.result_marks import GROUP_WORDS, kind_meanings
from grader.web.result_photos import notes_of, photo_views
from grader.web.result_view import review_state
from grader.web.review_acts import note_saying, saying_from
from grader.web.stored_photo import photo_source, piece_by_folder_name
from grader.web.stored_result import StoredResult, stored_result
from grader.web.viewer_constants import FIT_PX, MOST_BODY_BYTES, SMALL_PX, TILE_PX

# A picture's address holds the photo's hash, so what lies there never changes.
_FOR_GOOD = {'Cache-Control': 'private, max-age=31536000, immutable'}


def examination_page(request: Request) -> Response:
    """The page."""
    result = _result(request)
    record, state = result.at_hand.record, review_state(result, review_of(result.at_hand))
    return page(
        request,
        'examination.html',
        piece=result.piece.piece,
        number=result.number,
        made_at=record.made_at,
        address=_address(result),
        state=state,
        groups=GROUP_WORDS,
        photos=photo_views(record),
        notes=notes_of(record),
        kinds=kind_meanings(),
    )


def review_json(request: Request) -> Response:
    """State of the review, with what the page needs once: photos, kinds, words."""
    result = _result(request)
    once = {
        'photos': [_photo_json(result, k, asdict(one)) for k, one in enumerate(photo_views(result.at_hand.record))],
        'kinds': [{'kind': kind, 'words': words, 'meaning': meaning} for kind, words, meaning in kind_meanings()],
        'groups': {name: {'heading': words[0], 'note': words[1]} for name, words in GROUP_WORDS.items()},
        'tile': TILE_PX,
    }
    return JSONResponse({**once, 'state': _state_json(result, review_of(result.at_hand))})


async def say(request: Request) -> Response:
    """Note what she says."""
    data = await _body_of(request)
    return await run_in_threadpool(_said, request, data)


def fit_picture(request: Request) -> Response:
    """The photo, as large as a screen."""
    return _picture(request, FIT_PX)


def small_picture(request: Request) -> Response:
    """The photo, small."""
    return _picture(request, SMALL_PX)


def tile(request: Request) -> Response:
    """A part of the photo; on level 0 its own pixels."""
    names = ('level', 'column', 'row')
    level, column, row = (int(request.path_params[name]) for name in names)
    source = _source(request)
    part = tile_of(photo_pixels(_cache(desk_of(request)), source), level, column, row)
    if part is None:
        raise HTTPException(404)
    return Response(png_of(part), media_type='image/png', headers=_FOR_GOOD)


_EXAMINATION = '/pieces/{piece_id}/examinations/{number:int}'
_PHOTO = _EXAMINATION + '/photos/{photo:int}/{sha256}'

ROUTES = [
    Route(_EXAMINATION, examination_page, name='examination'),
    Route(_EXAMINATION + '/review.json', review_json, methods=['GET']),
    Route(_EXAMINATION + '/review.json', say, methods=['POST']),
    Route(_PHOTO + '/fit.jpg', fit_picture),
    Route(_PHOTO + '/small.jpg', small_picture),
    Route(_PHOTO + '/{level:int}/{column:int}/{row:int}.png', tile),
]


def _said(request: Request, data: bytes) -> Response:
    result = _result(request)
    saying = saying_from(data)
    try:
        done = note_saying(result, saying, desk_of(request).now())
    except ReviewGrown as err:
        now = _state_json(result, review_of(result.at_hand))
        return JSONResponse({'problem': err.problem, 'remedy': err.remedy, 'state': now}, 409)
    return JSONResponse({'state': _state_json(result, done.review), 'notes': done.notes})


def _result(request: Request) -> StoredResult:
    piece = desk_of(request).piece(request.path_params['piece_id'])
    return stored_result(piece, request.path_params['number'])


def _source(request: Request) -> PhotoSource:
    names = request.path_params
    desk = desk_of(request)
    piece = piece_by_folder_name(desk.place, names['piece_id']) or desk.piece(names['piece_id'])
    source = photo_source(piece, names['number'], names['photo'])
    if source.sha256 != names['sha256']:
        raise HTTPException(404)
    return source


def _picture(request: Request, most_px: int) -> Response:
    data = reduced_jpeg(_cache(desk_of(request)), _source(request), most_px)
    return Response(data, media_type='image/jpeg', headers=_FOR_GOOD)


def _cache(desk: Desk) -> Path:
    return desk.place.own / 'cache' / 'pictures'


async def _body_of(request: Request) -> bytes:
    """What was sent, read no further than it may be long."""
    data = b''
    async for part in request.stream():
        data += part
        if len(data) > MOST_BODY_BYTES:
            raise HTTPException(413, "What was sent is too long to be noted.")
    return data


def _address(result: StoredResult) -> str:
    return f'/pieces/{result.piece.piece.id}/examinations/{result.number}'


def _photo_json(result: StoredResult, k: int, photo: dict[str, Any]) -> dict[str, Any]:
    sha256 = result.at_hand.record.photos[k].sha256
    return {**photo, 'address': f'{_address(result)}/photos/{k}/{sha256}'}


def _state_json(result: StoredResult, review: Review) -> dict[str, Any]:
    return asdict(review_state(result, review))
