"""Which photo shows a piece, and where in it the piece is."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from grader.collection.index import ShelfRow
from grader.collection.piece_folder import PHOTOS_FOLDER
from grader.collection.shelf_rows import ExaminationRow
from grader.collection.stamp import stamp
from grader.photos.load import PHOTO_SUFFIXES
from grader.web.wall_constants import MAX_KNOWN_HASHES

BoxPx = tuple[float, float, float, float]
"""Left, top, right and bottom in the upright photo."""


@dataclass(frozen=True, slots=True)
class PieceInPhoto:
    """A photo of a piece."""

    path: Path
    box_px: BoxPx | None = None
    """Where the piece is, as far as an examination tells it."""


def main_picture(row: ShelfRow, folder: Path) -> PieceInPhoto | None:
    """Photo that shows a piece on the wall; None where there is none.

    The first that the owner chose for the catalogue, else the main photo of the latest examination that has its photo.
    """
    own = own_photo(folder, row.photo) if row.photo else None
    if own is not None:
        return PieceInPhoto(own, _known_box(row, own))
    for examination in reversed(row.examinations.readable):
        path = _examined_photo(examination, folder)
        if path is not None:
            return PieceInPhoto(path, _box(examination))
    return None


def _known_box(row: ShelfRow, path: Path) -> BoxPx | None:
    """Where the piece is in a photo, if that was examined too."""
    if not row.examinations.readable:
        return None
    digest = _sha256(path, stamp(str(path)))
    return next((_box(one) for one in reversed(row.examinations.readable) if one.photo_sha256 == digest), None)


def own_photo(folder: Path, name: str) -> Path | None:
    """A photo that the piece's own file names; None where it is not there."""
    return _inside(folder, folder / PHOTOS_FOLDER, name)


def _examined_photo(examination: ExaminationRow, folder: Path) -> Path | None:
    """The main photo that was examined, found by its bytes: by its name, or as it was renamed when it was packed."""
    home = folder / 'examinations' / examination.name
    for photos in (home / PHOTOS_FOLDER, home / 'data' / PHOTOS_FOLDER, folder / PHOTOS_FOLDER):
        named = _inside(folder, photos, examination.photo or '')
        for path in (*([named] if named else []), *_others(folder, photos)):
            if _sha256(path, stamp(str(path))) == examination.photo_sha256:
                return path
    return None


def _others(folder: Path, photos: Path) -> Iterator[Path]:
    try:
        names = sorted(path.name for path in photos.iterdir() if path.suffix.lower() in PHOTO_SUFFIXES)
    except OSError:
        return
    for name in names:
        path = _inside(folder, photos, name)
        if path is not None:
            yield path


def _inside(folder: Path, photos: Path, name: str) -> Path | None:
    """A plain file of a piece's folder; names in files come from outside, and links may lead anywhere."""
    if name in ('', '.', '..') or '/' in name or '\\' in name or '\0' in name:
        return None
    path = photos / name
    try:
        is_own = path.is_file() and path.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError):
        return None
    return path if is_own else None


@lru_cache(maxsize=MAX_KNOWN_HASHES)
def _sha256(path: Path, stamped: str) -> str:
    """Hash of a photo as it was when it was stamped; pages ask for the same ones again and again."""
    try:
        with path.open('rb') as file:
            return hashlib.file_digest(file, 'sha256').hexdigest()
    except OSError:
        return ''


def _box(examination: ExaminationRow) -> BoxPx | None:
    sides = (examination.left_px, examination.top_px, examination.right_px, examination.bottom_px)
    left, top, right, bottom = (-1.0 if side is None else side for side in sides)
    return (left, top, right, bottom) if 0 <= left < right and 0 <= top < bottom else None
