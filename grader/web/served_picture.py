"""Pictures of pieces as answers: small, checked by the browser before it loads them again."""

from collections.abc import Callable
from importlib import resources
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response

from grader.collection.index import ShelfRow, index_for_reading, shelf_row_as_known
from grader.collection.piece_folder import StoredPiece, read_piece
from grader.collection.place import CollectionPlace
from grader.errors import PieceNotFound
from grader.web.desk import PURPOSE, desk_of
from grader.web.pictures_of_piece import PieceInPhoto, main_picture, own_photo
from grader.web.piece_changes import folder_of
from grader.web.thumbs import NoPicture, PictureWish, small_picture
from grader.web.wall_constants import CATALOGUE_PX, LARGE_PX, SMALL_PX, THUMB_PX

# Asked anew each time, so that a changed photo shows at once; the answer is mostly "as before", without the picture.
_HEADERS = {'cache-control': 'private, no-cache'}
WishFor = Callable[[CollectionPlace, ShelfRow], PictureWish | None]


def served_picture(request: Request, wish_for: WishFor) -> Response:
    """A picture of a piece; where there is none, a drawing that says so."""
    place = desk_of(request).place
    wish = wish_for(place, _row(place, request.path_params['id']))
    if wish is None:
        return _drawing('no-photo.svg')
    tag = f'"{wish.key}"'
    if request.headers.get('if-none-match') == tag:
        return Response(status_code=304, headers={**_HEADERS, 'etag': tag})
    made = small_picture(place, wish)
    if isinstance(made, NoPicture):
        return _drawing('bad-photo.svg')
    return Response(made, media_type='image/jpeg', headers={**_HEADERS, 'etag': tag})


def main_wish(place: CollectionPlace, row: ShelfRow) -> PictureWish | None:
    """The wall's picture: a square that the piece fills."""
    photo = main_picture(row, place.pieces / row.folder)
    return None if photo is None else PictureWish(photo, THUMB_PX, is_square=True)


def large_wish(place: CollectionPlace, row: ShelfRow) -> PictureWish | None:
    """The same, larger."""
    photo = main_picture(row, place.pieces / row.folder)
    return None if photo is None else PictureWish(photo, LARGE_PX, is_square=photo.box_px is not None)


def own_wish(number: int, *, is_small: bool) -> WishFor:
    """One of the owner's photos, counted from 1."""

    def wish_for(place: CollectionPlace, row: ShelfRow) -> PictureWish | None:
        stored = read_piece(place.pieces / row.folder)
        if not 1 <= number <= len(stored.piece.photos):
            raise PieceNotFound("There is no such photo of this piece.", "Go back to the piece.")
        path = _own(stored, number)
        if path is None:
            return None
        return PictureWish(PieceInPhoto(path), SMALL_PX if is_small else CATALOGUE_PX, is_square=is_small)

    return wish_for


def _own(stored: StoredPiece, number: int) -> Path | None:
    return own_photo(stored.folder, stored.piece.photos[number - 1].file)


def _row(place: CollectionPlace, piece_id: str) -> ShelfRow:
    known = shelf_row_as_known(place, piece_id)
    if known is not None:
        return known
    with index_for_reading(place, PURPOSE, examined=lambda index: index.folders_where('id', piece_id)) as index:
        return index.shelf_row(folder_of(index, piece_id))


def _drawing(name: str) -> Response:
    data = (resources.files('grader.web') / 'static' / name).read_bytes()
    return Response(data, media_type='image/svg+xml', headers=_HEADERS)
