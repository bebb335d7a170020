"""Examinations in a piece's folder: one folder each, counted from 0001."""

import json
from dataclasses import dataclass
from pathlib import Path

from grader.collection.numbered import day_of, next_numbered, numbered_folders

EXAMINATIONS_FOLDER = 'examinations'
RECORD_FILE = 'record.json'
_SEAL_FILE = 'bagit.txt'


@dataclass(frozen=True, slots=True)
class StoredExamination:
    """One examination of a piece."""

    number: int
    """Counted from 1 in the order in which they were stored."""
    folder: Path

    def record_file(self) -> Path | None:
        """Its record: in the folder itself, or in what was packed of it; None where it holds none, or several."""
        if (self.folder / RECORD_FILE).is_file():
            return self.folder / RECORD_FILE
        found = sorted((self.folder / 'data').rglob(RECORD_FILE))
        return found[0] if len(found) == 1 else None


def is_sealed(folder: Path) -> bool:
    """Whether a folder is a sealed bag, which nothing may be put into."""
    return (folder / _SEAL_FILE).exists()


def examinations_of(piece_folder: Path) -> tuple[StoredExamination, ...]:
    """Examinations of a piece, in the order in which they were stored; none is an empty tuple."""
    found = numbered_folders(piece_folder / EXAMINATIONS_FOLDER)
    return tuple(StoredExamination(one.number, one.folder) for one in found)


def next_name(piece_folder: Path, record: Path | None) -> str:
    """Name for the next examination: its number, and the day that its record states, where it states one.

    Raises
    ------
    SettingsInvalid
        If no number is left.
    """
    day = '' if record is None else day_of(stated_time(record))
    return next_numbered(piece_folder / EXAMINATIONS_FOLDER, "examinations", day)


def stated_time(record: Path) -> str:
    """Time that a record states, '' where it states none or cannot be read: it is only part of a name."""
    try:
        made_at = json.loads(record.read_bytes())['made_at']
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ''
    return made_at if isinstance(made_at, str) else ''
