"""What the page of a piece says."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from grader.collection.comparisons import comparisons_of
from grader.collection.examinations import examinations_of, is_sealed
from grader.collection.history import read_history
from grader.collection.history_notes import history_notes
from grader.collection.index import index_for_reading
from grader.collection.piece import Piece
from grader.collection.piece_folder import StoredPiece, read_piece
from grader.collection.place import CollectionPlace
from grader.collection.sealed import bags_of
from grader.collection.shelf_rows import ExaminationRow, ExaminationsOf
from grader.commands.seal_store import subjects_in
from grader.report.collection_table import missing_facts
from grader.report.history_plot import draw_history
from grader.web.comparison_line import ComparisonLine, comparison_line
from grader.web.desk import PURPOSE
from grader.web.drafts import waiting_drafts
from grader.web.piece_changes import folder_of
from grader.web.piece_form import GROUPS, text_of
from grader.web.seal_view import bag_rows
from grader.web.shelf import range_words
from grader.web.time_words import day_words


@dataclass(frozen=True, slots=True)
class ExaminationLine:
    """An examination in the list."""

    number: int
    day: str
    is_dated: bool
    score: str
    condition: str
    range_words: str
    review_words: str
    """What the program found before the review, '' where nobody reviewed it."""
    width_words: str
    is_sealed: bool


@dataclass(frozen=True, slots=True)
class FactGroup:
    """Facts under one heading."""

    heading: str
    facts: tuple[tuple[str, str], ...]


def piece_page(place: CollectionPlace, piece_id: str) -> dict[str, Any]:
    """All that the page of a piece shows.

    Raises
    ------
    PieceNotFound
        If there is no such piece.
    """
    with index_for_reading(place, PURPOSE, examined=lambda index: index.folders_where('id', piece_id)) as index:
        folder = folder_of(index, piece_id)
        examinations = index.shelf_row(folder).examinations
    stored = read_piece(place.pieces / folder)
    lines = examination_lines(stored, examinations)
    return {
        'piece': stored.piece,
        'title': title_of(stored.piece),
        'groups': fact_groups(stored.piece),
        'missing': missing_facts(stored.piece),
        'latest': lines[0] if lines else None,
        'examinations': lines,
        'faults': examinations.faults,
        'comparisons': comparison_lines(stored),
        'seals': bag_rows(stored.folder, subjects_in(stored.folder)),
        'notes': _notes(stored) if len(lines) > 1 else (),
        'has_picture': bool(stored.piece.photos or lines),
        'waiting': waiting_drafts(place, piece_id),
        'folder': folder,
    }


def title_of(piece: Piece) -> str:
    """What a piece is called."""
    return piece.title or piece.type_of_object or "Untitled piece"


def fact_groups(piece: Piece) -> tuple[FactGroup, ...]:
    """What is known, under its headings; the title stands above the page, and empty ones are left out."""
    groups = []
    for group in GROUPS:
        texts = ((field, text_of(getattr(piece, field.name))) for field in group.fields if field.name != 'title')
        facts = tuple((field.heading, text) for field, text in texts if text)
        if facts:
            groups.append(FactGroup(group.heading, facts))
    return tuple(groups)


def examination_lines(stored: StoredPiece, examinations: ExaminationsOf) -> tuple[ExaminationLine, ...]:
    """Examinations that can be read, the latest first."""
    sealed = _sealed_numbers(stored)
    return tuple(_line(row, sealed) for row in reversed(examinations.readable))


def comparison_lines(stored: StoredPiece) -> tuple[ComparisonLine, ...]:
    """Comparisons of a piece, the latest first."""
    return tuple(comparison_line(one) for one in reversed(comparisons_of(stored.folder)))


def history_picture(stored: StoredPiece) -> str:
    """Score, sizes and marks over time, as SVG."""
    return draw_history(title_of(stored.piece), read_history(stored.folder))


def _line(row: ExaminationRow, sealed: frozenset[int]) -> ExaminationLine:
    grade, found, day = row.grade, row.found_grade, day_words(row.made_at or '')
    review_words = ""
    if row.is_reviewed and found is not None:
        review_words = f"reviewed; by the program alone {found.score:.0f}, {found.condition}"
    return ExaminationLine(
        number=row.number,
        day=day or "Day not stated",
        is_dated=bool(day),
        score="" if grade is None else f"{grade.score:.0f}",
        condition="" if grade is None else grade.condition,
        range_words="" if grade is None else range_words(grade),
        review_words=review_words,
        width_words=row.width_words or "",
        is_sealed=row.number in sealed,
    )


def _sealed_numbers(stored: StoredPiece) -> frozenset[int]:
    """Numbers of the examinations of which there is a sealed bag."""
    subjects = [bag.subject for bag in bags_of(stored.folder)]
    packed = {subject[1] for subject in subjects if subject is not None and subject[0] == 'examination'}
    return frozenset(packed | {one.number for one in examinations_of(stored.folder) if is_sealed(one.folder)})


def _notes(stored: StoredPiece) -> Sequence[str]:
    return history_notes(read_history(stored.folder))
