"""The photo of a stored examination, found without reading the whole record each time."""

from functools import lru_cache, partial
from pathlib import Path

from grader.collection.piece_folder import PHOTOS_FOLDER, StoredPiece
from grader.commands.report.sources import photo_files
from grader.errors import PieceNotFound
from grader.record import PhotoFacts, read_record
from grader.settings import PhotoLimits
from grader.web.pictures import PhotoSource
from grader.web.stored_result import examination_of, record_file_of

_KEPT_RECORDS = 32


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
