"""History of a piece: its examinations one after another, as far as their records tell."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from grader.collection.dates import moment_of
from grader.collection.examinations import examinations_of
from grader.errors import RecordUnreadable
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.record import GradingRecord, Measurement, read_record

COUNTED_KINDS = ('scratch', 'chip', 'bruise', 'bubble')
"""Kinds of marks that a history counts; dust comes and goes."""


@dataclass(frozen=True, slots=True)
class Length:
    """A measured length."""

    value_mm: float
    expanded_mm: float
    """Expanded uncertainty, by the factor that the record states."""


@dataclass(frozen=True, slots=True)
class PastExamination:
    """What one examination told of the piece."""

    name: str
    """Name of its folder."""
    made_at: str
    """Time that its record states, '' where it states none."""
    score: float
    interval: tuple[float, float]
    condition: str
    """The word for the score; two where it is borderline."""
    lengths: dict[str, Length]
    """By name, such as "largest width"; only those that were measured in mm."""
    n_marks: dict[str, int]
    """Reported marks by kind."""
    unseen_ratio: float
    rules_version: str = ''
    """Rules of the score."""


@dataclass(frozen=True, slots=True)
class History:
    """Examinations in the order of time."""

    examinations: tuple[PastExamination, ...]
    is_by_time: bool
    """Whether all records state a time; otherwise the order is that in which they were stored."""
    faults: tuple[str, ...]
    """Examinations whose record could not be read, and why."""


def read_history(piece_folder: Path) -> History:
    """History from the records in a piece's folder; the open and the sealed form of an examination count once."""
    found: list[PastExamination] = []
    faults: list[str] = []
    seen: set[bytes] = set()
    for one in examinations_of(piece_folder):
        path = one.record_file()
        if path is None:
            faults.append(f"{one.folder.name}: there is no record.json in it.")
            continue
        try:
            record = read_record(path)
        except RecordUnreadable as err:
            faults.append(f"{one.folder.name}: {err}")
            continue
        text = path.read_bytes()
        if text not in seen:
            seen.add(text)
            found.append(past_examination(one.folder.name, record))
    return in_order(found, faults)


def in_order(found: Sequence[PastExamination], faults: Sequence[str] = ()) -> History:
    """Examinations by the time that their records state, where all state one; else as they come."""
    times = [moment_of(one.made_at) for one in found]
    known = [time for time in times if time is not None]
    if len(known) < len(found):
        return History(tuple(found), False, tuple(faults))
    order = sorted(range(len(found)), key=lambda k: (known[k], k))
    return History(tuple(found[k] for k in order), True, tuple(faults))


def past_examination(name: str, record: GradingRecord) -> PastExamination:
    """What a history keeps of a record."""
    grade, sizes = record.grade, record.measurements
    lengths = {
        "largest width": sizes.diameter_max_mm,
        "smallest width": sizes.diameter_min_mm,
        "height": sizes.height_mm,
        "foot": sizes.base_mm,
    }
    kinds: list[str] = [mark.kind for mark in record.marks if mark.confidence >= REPORTED_CONFIDENCE]
    return PastExamination(
        name,
        record.made_at,
        grade.score,
        grade.interval,
        f"{grade.band} or {grade.other_band}" if grade.borderline and grade.other_band else grade.band,
        {words: _length(measured) for words, measured in lengths.items() if measured is not None},
        {kind: kinds.count(kind) for kind in COUNTED_KINDS},
        record.unseen_ratio,
        grade.rules_version,
    )


def time_of(examination: PastExamination) -> datetime | None:
    """Time that the record states; without a zone it is taken for that of Greenwich, which only the order rests on."""
    return moment_of(examination.made_at)


def _length(measured: Measurement) -> Length:
    return Length(measured.value, measured.expanded_uncertainty)
