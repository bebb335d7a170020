"""Storing a comparison in a piece's folder: a copy of its whole folder."""

from dataclasses import dataclass
from pathlib import Path

from grader.collection.change import change_of
from grader.collection.comparisons import COMPARISON_FILE_NAME, COMPARISONS_FOLDER, StoredComparison, comparisons_of
from grader.collection.examinations import examinations_of, is_sealed, stated_time
from grader.collection.numbered import day_of, next_numbered
from grader.collection.place import CollectionPlace
from grader.comparison import Comparison, SideFacts, read_comparison
from grader.errors import RecordUnreadable, SettingsInvalid
from grader.record import GradingRecord, read_record

_SAME_FILES = (COMPARISON_FILE_NAME, 'pictures/pictures.json')


@dataclass(frozen=True, slots=True)
class StoringComparison:
    """What was stored."""

    comparison: StoredComparison
    is_new: bool
    """False where the very same comparison was there already."""
    unknown_sides: tuple[str, ...]
    """Sides whose photos belong to no examination of the piece: "earlier", "later"."""


def store_comparison(place: CollectionPlace, piece_folder: Path, source: Path) -> StoringComparison:
    """Store a comparison under the next number, unless it is there already; to be called under the lock.

    Parameters
    ----------
    place
        The collection.
    piece_folder
        Folder of the piece.
    source
        Folder that ``grader compare --out`` made. It is copied as it is.

    Raises
    ------
    RecordUnreadable
        If there is no comparison in the folder, or one that this program cannot read.
    SettingsInvalid
        If it is a sealed bag, or the collection lies in it.
    """
    comparison = _comparison_in(place, source)
    unknown = tuple(
        words
        for words, side in (("earlier", comparison.before), ("later", comparison.after))
        if examination_of_side(piece_folder, side) is None
    )
    for one in comparisons_of(piece_folder):
        if _is_same(source, one.folder):
            return StoringComparison(one, False, unknown)
    folder = piece_folder / COMPARISONS_FOLDER
    target = folder / next_numbered(folder, "comparisons", day_of(comparison.made_at))
    with change_of(place) as change:
        change.copy_folder(source, target)
    return StoringComparison(StoredComparison(int(target.name[:4]), target), True, unknown)


def examination_of_side(piece_folder: Path, side: SideFacts) -> int | None:
    """Number of the examination that a side was made from, told by its photos and settings; None where none fits.

    The open form of an examination goes before its sealed one.
    """
    needed = {one.photo.sha256 for one in side.photos}
    stored = sorted(examinations_of(piece_folder), key=lambda one: (is_sealed(one.folder), one.number))
    for one in stored:
        path = one.record_file()
        if path is None or (side.given_as == 'record' and stated_time(path) != side.record_made_at):
            continue
        try:
            record = read_record(path)
        except RecordUnreadable:
            continue
        if _is_of(record, side, needed):
            return one.number
    return None


def _is_same(source: Path, folder: Path) -> bool:
    """Whether a comparison is stored already, with the pictures that it has."""
    for name in _SAME_FILES:
        if (source / name).is_file() and not (
            (folder / name).is_file() and (folder / name).read_bytes() == (source / name).read_bytes()
        ):
            return False
    return True


def _is_of(record: GradingRecord, side: SideFacts, needed: set[str]) -> bool:
    photos = {photo.sha256 for photo in record.photos}
    return needed <= photos and record.settings == side.settings


def _comparison_in(place: CollectionPlace, source: Path) -> Comparison:
    remedy = "Give the folder that \"grader compare --out\" made."
    if not source.is_dir():
        raise RecordUnreadable(f"{source}: there is no such folder.", remedy)
    if is_sealed(source):
        raise SettingsInvalid(
            f"{source}: this is a sealed bag.", "Give the comparison's own folder; it can be sealed again there."
        )
    if place.root.resolve().is_relative_to(source.resolve()):
        raise SettingsInvalid(f"{source}: the collection itself lies in this folder.", remedy)
    if not (source / COMPARISON_FILE_NAME).is_file():
        raise RecordUnreadable(f"{source}: there is no comparison.json in the folder.", remedy)
    return read_comparison(source / COMPARISON_FILE_NAME)
