"""The wall of pieces: what is asked for, and what each card says."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from grader.collection.dates import moment_of
from grader.collection.index import SORT_ORDERS, Index, ShelfRow, index_for_reading
from grader.collection.place import CollectionPlace
from grader.collection.record_light import LightGrade
from grader.collection.shelf_rows import ExaminationRow
from grader.web.desk import PURPOSE
from grader.web.time_words import short_day_words
from grader.web.wall_constants import CARDS_AT_ONCE, MAX_SEARCH_LETTERS, MAX_SEARCH_WORDS

ORDERS = {
    'inventory': "Inventory number",
    'title': "Title",
    'maker': "Maker",
    'period': "Date or period",
    'place': "Place kept",
    'value': "Value, highest first",
    'score': "Score, lowest first",
    'checked': "Checked longest ago first",
}
"""Orders of the wall in words."""


_TWICE_MM = re.compile(r'([0-9.]+) mm ± ([0-9.]+) mm')


@dataclass(frozen=True, slots=True)
class ShelfWish:
    """What is asked of the wall."""

    words: str = ''
    """Words that must all occur, in any field."""
    order: str = 'inventory'
    start: int = 0
    """How many pieces were shown before."""

    @property
    def is_search(self) -> bool:
        """Whether words are looked for."""
        return bool(self.words.strip())


@dataclass(frozen=True, slots=True)
class ShelfCard:
    """What the wall says of a piece."""

    id: str
    title: str
    maker: str
    size_words: str
    score: str
    """Points of 100, '' for a piece that was not examined."""
    condition: str
    """The word for the score."""
    is_reviewed: bool
    checked_words: str
    has_picture: bool
    fault_words: str
    """That some of its examinations cannot be read, '' where all can."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """Part of the wall."""

    wish: ShelfWish
    cards: tuple[ShelfCard, ...]
    n_found: int
    n_pieces: int
    """All that there are."""
    faults: tuple[str, ...]
    """Folders that cannot be read."""

    @property
    def next_start(self) -> int | None:
        """Where the next part begins; None where this is the last."""
        after = self.wish.start + len(self.cards)
        return after if after < self.n_found else None

    @property
    def count_words(self) -> str:
        """How many pieces there are."""
        whole = _pieces(self.n_pieces)
        if not self.wish.is_search:
            return whole
        return f"{self.n_found:,} of {whole}" if self.n_found else f"None of {whole}"


def wish_from(words: str, order: str, start: str) -> ShelfWish:
    """What a form asks; whatever makes no sense is taken for the usual."""
    number = int(start) if start.isascii() and start.isdecimal() and len(start) < 8 else 0
    return ShelfWish(words.strip()[:MAX_SEARCH_LETTERS], order if order in ORDERS else 'inventory', number)


def read_shelf(place: CollectionPlace, wish: ShelfWish) -> Shelf:
    """Part of the wall, as the folders have it now.

    Only the examinations that are needed are looked at: those of the pieces shown, unless all are put in order by them.
    """
    words, part = wish.words.split()[:MAX_SEARCH_WORDS], slice(wish.start, wish.start + CARDS_AT_ONCE)
    by_index = wish.order in SORT_ORDERS
    sort = wish.order if by_index else 'title'

    def examined(index: Index) -> list[str]:
        folders = index.folders_of(words, sort)
        return folders[part] if by_index else folders

    with index_for_reading(place, PURPOSE, examined=examined) as index:
        if by_index:
            rows: Sequence[ShelfRow] = index.shelf(words, sort, part)
        else:
            key = _by_score if wish.order == 'score' else _by_check
            rows = sorted(index.shelf(words, sort, slice(None)), key=key)[part]
        n_found = len(index.folders_of(words, sort))
        n_pieces = index.n_pieces() if wish.is_search else n_found
        return Shelf(wish, tuple(card_of(row) for row in rows), n_found, n_pieces, index.faults())


def card_of(row: ShelfRow) -> ShelfCard:
    """What the wall says of a piece."""
    latest, n_faulty = row.examinations.latest, len(row.examinations.faults)
    grade = None if latest is None else latest.grade
    return ShelfCard(
        id=row.id,
        title=row.title or "Untitled piece",
        maker=", ".join(part for part in (row.maker, row.date_or_period) if part),
        size_words=_size_words(row, latest),
        score="" if grade is None else f"{grade.score:.0f}",
        condition="" if grade is None else grade.condition,
        is_reviewed=latest is not None and latest.is_reviewed,
        checked_words=_checked_words(latest, n_faulty),
        has_picture=bool(row.photo) or latest is not None,
        fault_words={0: "", 1: "1 examination has a fault"}.get(n_faulty, f"{n_faulty} examinations have faults"),
    )


def range_words(grade: LightGrade) -> str:
    """The range in which the score lies."""
    # Rounded outwards, so that it is not told narrower than it is.
    return f"between {math.floor(grade.low)} and {math.ceil(grade.high)}"


def _by_score(row: ShelfRow) -> tuple[bool, float]:
    """Lowest score first; pieces without one come last."""
    latest = row.examinations.latest
    grade = None if latest is None else latest.grade
    return grade is None, 0.0 if grade is None else grade.score


def _by_check(row: ShelfRow) -> tuple[int, float]:
    """Never examined first, then without a stated date, then by date."""
    latest = row.examinations.latest
    if latest is None:
        return 0, 0.0
    moment = moment_of(latest.made_at or '')
    return (1, 0.0) if moment is None else (2, moment.timestamp())


def _size_words(row: ShelfRow, latest: ExaminationRow | None) -> str:
    """Largest width as measured, else what the owner states."""
    measured = next((one.width_words for one in reversed(row.examinations.readable) if one.width_words), "")
    if measured:
        return _TWICE_MM.sub(r'\1 ± \2 mm', measured)
    first_line = row.measurements.partition('\n')[0]
    return first_line if latest is None or first_line else "size not measured"


def _checked_words(latest: ExaminationRow | None, n_faulty: int) -> str:
    if latest is None:
        return "No examination that can be read" if n_faulty else "No examination yet"
    return f"Checked {short_day_words(latest.made_at or '') or 'on a day not stated'}"


def _pieces(n: int) -> str:
    return "1 piece" if n == 1 else f"{n:,} pieces"
