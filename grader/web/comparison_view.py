"""A stored comparison as its page shows it. Nothing is claimed that does not stand in comparison.json."""

import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from markupsafe import Markup

from calib.errors import ActionableError
from grader.collection.comparisons import COMPARISON_FILE_NAME, StoredComparison, comparisons_of
from grader.collection.examinations import examinations_of
from grader.collection.piece_folder import StoredPiece
from grader.collection.store_comparison import examination_of_side
from grader.commands.compare import PAGE_NAME, PICTURE_NAME
from grader.commands.review_store import record_at, review_of
from grader.comparison import COMPARISON_FILE, Comparison
from grader.documents.shared_parts import time_words
from grader.errors import PieceNotFound, RecordUnreadable
from grader.evidence.hashing import sha256_of
from grader.report.compare_wording import headline_of
from grader.report.page_parts import changes_part, could_part, details_part, sides_part, summary_part
from grader.report.page_pictures import PICTURES_FILE, PICTURES_FILE_KIND, PICTURES_FOLDER, PagePictures
from grader.report.page_viewer import viewer_part
from grader.review.apply import apply_review
from grader.review.of_changes import HerWord, SideReview, beside, contradictions, words_on_changes

_PICTURE_NAME = re.compile(r'[a-z0-9-]{1,40}\.jpg', re.ASCII)

DOWNLOADS: Mapping[str, str] = {
    PAGE_NAME: 'text/html; charset=utf-8',
    PICTURE_NAME: 'image/jpeg',
    COMPARISON_FILE_NAME: 'application/json',
}
"""Files of a comparison that can be had as they are, with their types."""


@dataclass(frozen=True, slots=True)
class ComparisonAtHand:
    """A stored comparison, read."""

    stored: StoredComparison
    comparison: Comparison
    sha256: str
    pictures: PagePictures | None
    """None where they were not stored with it, or not whole."""


@dataclass(frozen=True, slots=True)
class SideAtHand:
    """A side of a comparison, and the examination that it was made from."""

    words: str
    """Which side: "Earlier", "Later"."""
    number: int | None
    """Number of the examination; None where it is not one of the piece's."""
    made_at: str
    """Time in words, '' where none is stated."""


@dataclass(frozen=True, slots=True)
class ComparisonParts:
    """What the template of the page puts together."""

    headline: str
    sides: tuple[SideAtHand, ...]
    summary: Markup
    viewer: Markup
    changes: Markup
    could: Markup
    details: Markup
    photos: Markup
    contradicted: tuple[int, ...]
    """Numbers of changes that are told as damage and that she rejected."""
    her_words: tuple[str, ...]
    """What she added and the comparison does not know."""
    unread: tuple[str, ...]
    """Why a review could not be looked at."""


def stored_comparison(piece: StoredPiece, number: int) -> ComparisonAtHand:
    """Comparison of a piece by its number.

    Raises
    ------
    PieceNotFound
        If there is none.
    RecordUnreadable
        If its file cannot be read.
    """
    stored = comparison_of(piece, number)
    try:
        data = stored.file.read_bytes()
    except OSError as err:
        raise RecordUnreadable(
            f"Comparison {number}: its file cannot be opened ({err.strerror or err}).",
            "Take its folder back from a copy, or compare again.",
        ) from err
    comparison = COMPARISON_FILE.from_bytes(data, stored.file.name)
    sha256 = sha256_of(data)
    return ComparisonAtHand(stored, comparison, sha256, _pictures_in(stored.folder, sha256))


def comparison_of(piece: StoredPiece, number: int) -> StoredComparison:
    """Folder of a comparison of a piece.

    Raises
    ------
    PieceNotFound
        If there is none of this number.
    """
    for one in comparisons_of(piece.folder):
        if one.number == number:
            return one
    raise PieceNotFound(
        f"This piece has no comparison {number}.", "Go back to the piece and choose one that is listed there."
    )


def picture_file(piece: StoredPiece, number: int, name: str) -> Path:
    """File of a picture of a comparison's page.

    Raises
    ------
    PieceNotFound
        If the comparison has no such picture.
    """
    folder = comparison_of(piece, number).folder / PICTURES_FOLDER
    # Its form alone decides: a name is made of letters, digits and hyphens, so it leads nowhere else.
    if not _PICTURE_NAME.fullmatch(name) or not _is_plain(folder / name):
        raise PieceNotFound("This comparison has no such picture.", "Go back to the comparison.")
    return folder / name


def download_file(piece: StoredPiece, number: int, name: str) -> Path:
    """File of a comparison that can be had as it is.

    Raises
    ------
    PieceNotFound
        If the comparison has no such file.
    """
    path = comparison_of(piece, number).folder / name
    if name not in DOWNLOADS or not _is_plain(path):
        raise PieceNotFound("This comparison has no such file.", "Go back to the comparison.")
    return path


def comparison_parts(piece: StoredPiece, at_hand: ComparisonAtHand, address: str) -> ComparisonParts:
    """All parts of the page; `address` is that of the comparison."""
    comparison, pictures = at_hand.comparison, at_hand.pictures
    sides = _sides(piece, comparison)
    reviews, unread = _reviews(piece, sides)
    words = words_on_changes(comparison, reviews)

    def source(name: str) -> str:
        return f'{address}/pictures/{name}'

    return ComparisonParts(
        headline=headline_of(comparison),
        sides=sides,
        summary=Markup(summary_part(comparison)),
        viewer=Markup('' if pictures is None else viewer_part(pictures.viewer, source)),
        changes=Markup(
            changes_part(None if pictures is None else pictures.close_ups, comparison, source, beside(words))
        ),
        could=Markup(could_part(comparison)),
        details=Markup('' if pictures is None else details_part(pictures.details, comparison, source)),
        photos=Markup(sides_part(comparison)),
        contradicted=contradictions(comparison, words),
        her_words=_not_beside(words, comparison, pictures),
        unread=unread,
    )


def _not_beside(words: tuple[HerWord, ...], comparison: Comparison, pictures: PagePictures | None) -> tuple[str, ...]:
    """Words that no change of the list carries."""
    reported = {one.number for one in comparison.changes if one.is_reported}
    shown = reported if pictures is None else {one.number for one in pictures.close_ups}
    return tuple(one.words for one in words if one.change not in shown)


def _sides(piece: StoredPiece, comparison: Comparison) -> tuple[SideAtHand, ...]:
    return tuple(
        SideAtHand(words, examination_of_side(piece.folder, side), time_words(side.record_made_at))
        for words, side in (("Earlier", comparison.before), ("Later", comparison.after))
    )


def _reviews(piece: StoredPiece, sides: tuple[SideAtHand, ...]) -> tuple[tuple[SideReview, ...], tuple[str, ...]]:
    """Reviews of the examinations of both sides, and why one could not be looked at."""
    found, faults = [], []
    for side, name in zip(sides, ('before', 'after'), strict=True):
        for one in examinations_of(piece.folder):
            path = one.record_file() if one.number == side.number else None
            if path is None:
                continue
            try:
                at_hand = record_at(path)
                if at_hand.review_path.exists():
                    result = apply_review(at_hand.record, review_of(at_hand))
                    found.append(SideReview('before' if name == 'before' else 'after', at_hand.record, result))
            except ActionableError as err:
                faults.append(f"The review of examination {one.number} could not be looked at. {err.problem}")
    return tuple(found), tuple(faults)


def _pictures_in(folder: Path, comparison_sha256: str) -> PagePictures | None:
    """List of the pictures of a comparison; None where they are not whole, or those of another one."""
    try:
        pictures = PICTURES_FILE_KIND.read(folder / PICTURES_FOLDER / PICTURES_FILE)
    except RecordUnreadable:
        return None
    is_whole = all(_is_plain(folder / PICTURES_FOLDER / name) for name in pictures.names)
    return pictures if is_whole and pictures.comparison_sha256 == comparison_sha256 else None


def _is_plain(path: Path) -> bool:
    try:
        return stat.S_ISREG(path.lstat().st_mode)
    except OSError:
        return False
