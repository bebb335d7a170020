"""The photo of a stored examination, found without reading the whole record each time."""

from functools import lru_cache, partial
from pathlib import Path

from grader.collection.piece_folder import PHOTOS_FOLDER, StoredPiece, read_piece
from grader.collection.place import CollectionPlace
from grader.commands.report.sources import photo_files
from grader.errors import PieceNotFound
from grader.record import PhotoFacts, read_record
from grader.settings import PhotoLimits
from grader.web.pictures import PhotoSource
from grader.web.stored_result import examination_of, record_file_of

_KEPT_RECORDS = 32


def piece_by_folder_name(place: CollectionPlace, piece_id: str) -> StoredPiece | None:
    """Piece whose folder's name ends with its id, as the program names them; None where none does, or several.

    For pictures, which a page asks for by the dozen: the index would take the collection's lock for each.
    """
    if not place.pieces.is_dir():
        return None
    found = [path for path in place.pieces.iterdir() if path.name.endswith(f'-{piece_id}')]
    if len(found) != 1 or not found[0].is_dir():
        return None
    stored = read_piece(found[0])
    return stored if stored.piece.id == piece_id else None


def photo_source(piece: StoredPiece, number: int, k: int) -> PhotoSource:
    """Photo `k`, from 0, of an examination.

    Raises
    ------
    PieceNotFound
        If there is no such examination, or it has no such photo.
    RecordUnreadable
        If its record cannot be read.
    """
    path = record_file_of(examination_of(piece, number))
    found = path.stat()
    photos, limits = _photos_named(path, found.st_mtime_ns, found.st_size)
    if k >= len(photos):
        raise PieceNotFound("This examination has no such photo.", "Go back to the examination.")
    facts = photos[k]
    return PhotoSource(
        facts.name,
        facts.sha256,
        (facts.width_px, facts.height_px),
        limits,
        partial(_file_of, facts, path.parent, piece.folder / PHOTOS_FOLDER),
    )


def _file_of(facts: PhotoFacts, folder: Path, more: Path) -> Path:
    return photo_files([facts], folder, [more])[0]


@lru_cache(maxsize=_KEPT_RECORDS)
def _photos_named(path: Path, changed_ns: int, n_bytes: int) -> tuple[tuple[PhotoFacts, ...], PhotoLimits]:
    """Photos of a record, and the limits for them; a record changed since is read anew."""
    record = read_record(path)
    return record.photos, record.settings.photos
