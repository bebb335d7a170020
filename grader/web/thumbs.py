"""Small pictures of photos: made when they are first asked for, then kept in the collection's cache.

The cache may be deleted at any time. A picture's name follows from the photo's time, size and place on the disk and
from what is wanted of it, so a changed photo gets another.
"""

import contextlib
import hashlib
import os
import secrets
import threading
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from PIL import Image

from grader.collection.place import CollectionPlace
from grader.collection.stamp import stamp
from grader.constants import MAX_PHOTO_BYTES, MAX_PHOTO_PIXELS
from grader.photos.exif import read_exif
from grader.photos.load import PHOTO_FORMATS
from grader.photos.pixels import DECODER_FAULTS, PixelsUnusable, pixels_of
from grader.web.pictures_of_piece import BoxPx, PieceInPhoto
from grader.web.wall_constants import (
    MAX_CACHED_IN_FOLDER,
    MAX_DECODED_PIXELS,
    PICTURE_QUALITY,
    ROOM_ROUND_PIECE_RATIO,
    THUMBS_AT_ONCE,
)

_VERSION = '1'
_FEW = threading.BoundedSemaphore(THUMBS_AT_ONCE)


@dataclass(frozen=True, slots=True)
class NoPicture:
    """No picture can be made of the photo."""

    reason: str
    """Why, in words."""


@dataclass(frozen=True, slots=True)
class PictureWish:
    """What is wanted of a photo."""

    photo: PieceInPhoto
    side_px: int
    """Columns and rows of a square picture; of others the larger side."""
    is_square: bool = False
    """Whether a square is cut out: round the piece where that is known, else in the middle."""

    @property
    def key(self) -> str:
        """Name of the picture, of 64 signs."""
        parts = (_VERSION, stamp(str(self.photo.path)), self.photo.path.name, self.photo.box_px, self.side_px)
        return hashlib.sha256(repr((*parts, self.is_square)).encode(errors='backslashreplace')).hexdigest()


def small_picture(place: CollectionPlace, wish: PictureWish) -> bytes | NoPicture:
    """Bytes of the JPEG."""
    key = wish.key
    kept = place.own / 'cache' / 'pictures' / key[:2] / f'{key}.jpg'
    with contextlib.suppress(OSError):
        return kept.read_bytes()
    with _FEW:
        made = make_picture(wish)
    if not isinstance(made, NoPicture):
        _keep(kept, made)
    return made


def make_picture(wish: PictureWish) -> bytes | NoPicture:
    """Bytes of the JPEG, made anew. One bad photo must not end a list, so that is a value."""
    try:
        with warnings.catch_warnings(action='ignore'):
            picture = _picture(wish)
        data = BytesIO()
        picture.save(data, 'JPEG', quality=PICTURE_QUALITY, optimize=True)
        return data.getvalue()
    except FileNotFoundError:
        return NoPicture("The photo is missing.")
    except (*DECODER_FAULTS, PixelsUnusable, Image.DecompressionBombError, MemoryError):
        return NoPicture("The photo cannot be read.")


def square_round(box_px: BoxPx | None, size_px: tuple[int, int]) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of the square to cut out, wholly within the photo.

    Parameters
    ----------
    box_px
        Where the piece is; None for the middle of the photo.
    size_px
        Width and height of the photo.
    """
    width, height = size_px
    left, top, right, bottom = box_px or (0.0, 0.0, float(width), float(height))
    wanted = max(right - left, bottom - top) * (1 + 2 * ROOM_ROUND_PIECE_RATIO)
    side = max(min(round(wanted), width, height), 1)
    x0 = min(max(round((left + right - side) / 2), 0), width - side)
    y0 = min(max(round((top + bottom - side) / 2), 0), height - side)
    return x0, y0, x0 + side, y0 + side


def _picture(wish: PictureWish) -> Image.Image:
    path, box = wish.photo.path, wish.photo.box_px
    if path.stat().st_size > MAX_PHOTO_BYTES:
        raise PixelsUnusable("the file is too large")
    data = path.read_bytes()
    with Image.open(BytesIO(data), formats=PHOTO_FORMATS) as image:
        if image.width * image.height > MAX_PHOTO_PIXELS:
            raise PixelsUnusable("it has too many pixels")
        stored_px = max(image.size)
        # JPEGs are decoded at a half, a quarter or an eighth: a tenth of the time for a phone's photo.
        image.draft('RGB', _decoded_px(wish, image.size))
        if image.width * image.height > MAX_DECODED_PIXELS:
            raise PixelsUnusable("it has too many pixels to be shown small")
        image.load()
        scale = max(image.size) / stored_px
        upright = Image.fromarray(pixels_of(image, data, read_exif(image).orientation).rgb)
    if wish.is_square:
        scaled = None if box is None else (box[0] * scale, box[1] * scale, box[2] * scale, box[3] * scale)
        upright = upright.crop(square_round(scaled, upright.size))
    upright.thumbnail((wish.side_px, wish.side_px), Image.Resampling.LANCZOS)
    return upright


def _decoded_px(wish: PictureWish, size_px: tuple[int, int]) -> tuple[int, int]:
    """Size at which to decode, so that what is cut out has as many pixels as are wanted."""
    if not wish.is_square:
        share = max(size_px)
    else:
        left, top, right, bottom = square_round(wish.photo.box_px, size_px)
        share = max(min(right - left, bottom - top), 1)
    scale = min(wish.side_px / share, 1.0)
    return max(round(size_px[0] * scale), 1), max(round(size_px[1] * scale), 1)


def _keep(path: Path, data: bytes) -> None:
    """Put a picture into the cache, where there is room; where not, it is made anew each time."""
    work = path.with_name(f'.{path.name}-{secrets.token_hex(4)}')
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _make_room(path.parent)
        work.write_bytes(data)
        work.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            work.unlink(missing_ok=True)


def _make_room(folder: Path) -> None:
    """Delete the older half of a folder's pictures where they are many."""
    with os.scandir(folder) as entries:
        found = sorted((entry.stat().st_mtime_ns, entry.name) for entry in entries if entry.is_file())
    if len(found) >= MAX_CACHED_IN_FOLDER:
        for _, name in found[: len(found) // 2]:
            (folder / name).unlink(missing_ok=True)
