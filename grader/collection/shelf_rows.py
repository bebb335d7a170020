"""What a shelf shows of each piece: its row of the index, and its latest examination."""

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from grader.collection.dates import moment_of
from grader.collection.record_light import LightGrade

_FIELDS = """folder, name, number, record, fault, sha256, made_at, width_words, photo, photo_sha256,
    left_px, top_px, right_px, bottom_px, score, low, high, condition,
    reviewed_score, reviewed_low, reviewed_high, reviewed_condition"""


class ExaminationRow(NamedTuple):
    """What a list shows of an examination."""

    folder: str
    """Folder of the piece."""
    name: str
    """Folder of the examination."""
    number: int
    """Counted from 1 in the order in which they were stored."""
    record: str
    """Its record, as seen from the piece's folder."""
    fault: str
    """What cannot be read of it, '' where all can."""
    sha256: str | None
    """Of its record; None where there is none that can be read, and then all below is None too."""
    made_at: str | None
    width_words: str | None
    photo: str | None
    photo_sha256: str | None
    left_px: float | None
    top_px: float | None
    right_px: float | None
    bottom_px: float | None
    score: float | None
    low: float | None
    high: float | None
    condition: str | None
    reviewed_score: float | None
    """None where it was not reviewed; so are the three below."""
    reviewed_low: float | None
    reviewed_high: float | None
    reviewed_condition: str | None

    @property
    def is_reviewed(self) -> bool:
        """Whether a person said something of its marks."""
        return self.reviewed_score is not None

    @property
    def found_grade(self) -> LightGrade | None:
        """Grade by the program's findings; None where the record cannot be read."""
        return _grade(self.score, self.low, self.high, self.condition)

    @property
    def grade(self) -> LightGrade | None:
        """Grade that counts: by the review where there is one."""
        reviewed = _grade(self.reviewed_score, self.reviewed_low, self.reviewed_high, self.reviewed_condition)
        return reviewed or self.found_grade


@dataclass(frozen=True, slots=True)
class ExaminationsOf:
    """Examinations of one piece."""

    readable: tuple[ExaminationRow, ...]
    """By the time that their records state where all state one, else as they were stored; the latest comes last."""
    faults: tuple[str, ...]
    """What could not be read."""

    @property
    def latest(self) -> ExaminationRow | None:
        """The latest one that can be read."""
        return self.readable[-1] if self.readable else None


NO_EXAMINATIONS = ExaminationsOf((), ())


def examinations_in(connection: sqlite3.Connection, folder: str) -> ExaminationsOf:
    """Examinations of one piece."""
    query = f'SELECT {_FIELDS} FROM examinations WHERE folder = ? ORDER BY number, name'
    return _in_order([ExaminationRow._make(row) for row in connection.execute(query, (folder,))])


def _in_order(rows: Sequence[ExaminationRow]) -> ExaminationsOf:
    """As ``history.in_order`` does; the open and the sealed form of an examination count once."""
    if len(rows) == 1 and rows[0].sha256 is not None:
        return ExaminationsOf(tuple(rows), _faults(rows))
    readable = list({row.sha256: row for row in reversed(rows) if row.sha256 is not None}.values())[::-1]
    moments = [moment_of(row.made_at or '') for row in readable]
    if None not in moments:
        order = sorted(range(len(readable)), key=lambda k: (moments[k], k))
        readable = [readable[k] for k in order]
    return ExaminationsOf(tuple(readable), _faults(rows))


def _faults(rows: Iterable[ExaminationRow]) -> tuple[str, ...]:
    return tuple(row.fault for row in rows if row.fault)


def _grade(score: float | None, low: float | None, high: float | None, condition: str | None) -> LightGrade | None:
    if score is None or low is None or high is None or condition is None:
        return None
    return LightGrade(score, low, high, condition)
