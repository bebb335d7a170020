"""An examination of a piece, as it lies in the collection, with its review."""

from dataclasses import dataclass
from pathlib import Path

from grader.collection.examinations import StoredExamination, examinations_of, is_sealed
from grader.collection.piece_folder import PHOTOS_FOLDER, StoredPiece
from grader.commands.review_store import RecordAtHand, record_at
from grader.errors import PieceNotFound, RecordUnreadable


@dataclass(frozen=True, slots=True)
class StoredResult:
    """One examination with its record."""

    piece: StoredPiece
    """The piece that was examined."""
    number: int
    """Number of the examination."""
    folder: Path
    """Folder of the examination."""
    at_hand: RecordAtHand
    """The record, and where its review lies."""

    @property
    def is_sealed(self) -> bool:
        """Whether nothing in it may be changed."""
        return is_sealed(self.folder)

    @property
    def more_photo_folders(self) -> tuple[Path, ...]:
        """Folders besides the examination's own in which its photos may lie."""
        return (self.piece.folder / PHOTOS_FOLDER,)


def examination_of(piece: StoredPiece, number: int) -> StoredExamination:
    """One examination of a piece by its number.

    Raises
    ------
    PieceNotFound
        If the piece has none of this number.
    """
    found = next((one for one in examinations_of(piece.folder) if one.number == number), None)
    if found is None:
        raise PieceNotFound(
            f"This piece has no examination {number}.", "Go back to the piece and choose one that is listed there."
        )
    return found


def record_file_of(examination: StoredExamination) -> Path:
    """Record of an examination.

    Raises
    ------
    RecordUnreadable
        If it holds none, or several.
    """
    path = examination.record_file()
    if path is None:
        raise RecordUnreadable(
            f"Examination {examination.number}: there is no record.json in its folder, or more than one.",
            "Take the folder back from a copy, or examine the photos again.",
        )
    return path


def stored_result(piece: StoredPiece, number: int) -> StoredResult:
    """One examination of a piece with its record.

    Raises
    ------
    PieceNotFound
        If the piece has none of this number.
    RecordUnreadable
        If its record cannot be read.
    """
    examination = examination_of(piece, number)
    return StoredResult(piece, number, examination.folder, record_at(record_file_of(examination)))
