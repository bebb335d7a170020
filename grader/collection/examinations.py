"""Examinations in a piece's folder: one folder each, counted from 0001."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from grader.collection.constants import MAX_EXAMINATIONS
from grader.errors import SettingsInvalid

EXAMINATIONS_FOLDER = 'examinations'
RECORD_FILE = 'record.json'
_SEAL_FILE = 'bagit.txt'

_NAME = re.compile(r'([0-9]{4})(?:-.*)?', re.ASCII)
_DAY = re.compile(r'[0-9]{4}-[0-9]{2}-[0-9]{2}', re.ASCII)


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
    return tuple(sorted(_stored(piece_folder / EXAMINATIONS_FOLDER), key=lambda one: (one.number, one.folder.name)))


def next_name(piece_folder: Path, record: Path | None) -> str:
    """Name for the next examination: its number, and the day that its record states, where it states one.

    Raises
    ------
    SettingsInvalid
        If no number is left.
    """
    number = max((one.number for one in examinations_of(piece_folder)), default=0) + 1
    if number > MAX_EXAMINATIONS:
        raise SettingsInvalid(
            f"{piece_folder.name}: {MAX_EXAMINATIONS} examinations are the most that a piece can have.",
            "Store this one with another piece.",
        )
    day = _DAY.match(stated_time(record)) if record is not None else None
    return f'{number:04}' + (f'-{day[0]}' if day else '')


def stated_time(record: Path) -> str:
    """Time that a record states, '' where it states none or cannot be read: it is only part of a name."""
    try:
        made_at = json.loads(record.read_bytes())['made_at']
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return ''
    return made_at if isinstance(made_at, str) else ''


def _stored(folder: Path) -> Iterator[StoredExamination]:
    if not folder.is_dir():
        return
    for entry in folder.iterdir():
        found = _NAME.fullmatch(entry.name)
        if found and entry.is_dir():
            yield StoredExamination(int(found[1]), entry)
