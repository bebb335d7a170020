"""The index's second table: what a list shows of each examination, kept in step with records and reviews.

It is brought up to date only for whoever shows it. A review that is made later is noticed by its file: time, size and
place on the disk of record and review are compared, two looks an examination; which examinations there are, the first
table's look at the piece's folder tells.
"""

import os
import sqlite3
from collections.abc import Collection, Iterator
from dataclasses import astuple
from pathlib import Path

from grader.collection.examinations import RECORD_FILE, StoredExamination, examinations_of
from grader.collection.record_light import LightGrade, NotLight, light_record, reviewed_grade
from grader.collection.stamp import stamp

REVIEW_FILE = 'review.json'
SUMMARY_TABLE = """
CREATE TABLE examinations (
    folder TEXT NOT NULL, name TEXT NOT NULL, listed TEXT NOT NULL, record TEXT NOT NULL, signature TEXT NOT NULL,
    number INTEGER, fault TEXT, sha256 TEXT, made_at TEXT, width_words TEXT, photo TEXT, photo_sha256 TEXT,
    left_px REAL, top_px REAL, right_px REAL, bottom_px REAL,
    score REAL, low REAL, high REAL, condition TEXT,
    reviewed_score REAL, reviewed_low REAL, reviewed_high REAL, reviewed_condition TEXT,
    PRIMARY KEY (folder, name)
)"""
_N_COLUMNS = 24
_N_KEYS, _N_REVIEWED = 6, 4
_Row = tuple[str | int | float | None, ...]


def refresh_summaries(connection: sqlite3.Connection, pieces: Path, folders: Collection[str] | None = None) -> None:
    """Bring the table up to date; to be called under the lock, after the first table was.

    Parameters
    ----------
    connection
        To the index.
    pieces
        Folder of the pieces.
    folders
        Names of the pieces' folders of which examinations are needed; None for all.
    """
    wanted = dict(connection.execute('SELECT folder, listed FROM pieces WHERE n_examinations > 0'))
    asked = wanted.keys() if folders is None else wanted.keys() & set(folders)
    top = str(pieces)
    stale: dict[str, None] = {}
    seen: set[str] = set()
    for folder, listed, record, signature in connection.execute(
        'SELECT folder, listed, record, signature FROM examinations'
    ):
        seen.add(folder)
        if folder in wanted and folder not in asked:
            continue
        if wanted.get(folder) != listed or _signature(f'{top}/{folder}/{record}') != signature:
            stale[folder] = None
    fresh = [folder for folder in asked if folder not in seen]
    if not stale and not fresh:
        return
    with connection:
        connection.executemany('DELETE FROM examinations WHERE folder = ?', [(folder,) for folder in stale])
        connection.executemany(
            f'INSERT INTO examinations VALUES ({",".join("?" * _N_COLUMNS)})',
            (
                row
                for folder in (*(one for one in stale if one in wanted), *fresh)
                for row in _rows(pieces / folder, wanted[folder])
            ),
        )


def _signature(record: str) -> str:
    return f'{stamp(record)} {stamp(os.path.dirname(record) + "/" + REVIEW_FILE)}'


def _rows(piece_folder: Path, listed: str) -> Iterator[_Row]:
    """A row for each examination of a piece."""
    for one in examinations_of(piece_folder):
        path = one.record_file() or one.folder / RECORD_FILE
        record = path.relative_to(piece_folder).as_posix()
        keys = (piece_folder.name, one.folder.name, listed, record, _signature(str(path)), one.number)
        if any(text.encode(errors='replace').decode() != text for text in (one.folder.name, record)):
            # Bytes that are no text cannot be stored; the folder is told under a name that does not exist.
            keys = (piece_folder.name, f'{one.number:04}-?', listed, f'{one.number:04}-?', '- -', one.number)
        yield (*keys, *_facts(one, path))


def _facts(one: StoredExamination, path: Path) -> _Row:
    if one.record_file() is None:
        return _faulty(f"{one.folder.name}: there is no record.json in it.")
    try:
        data = path.read_bytes()
        found = light_record(data)
    except OSError as err:
        return _faulty(f"{one.folder.name}: its record cannot be opened ({err.strerror or err}).")
    except NotLight as err:
        return _faulty(f"{one.folder.name}: its record {err}.")
    fault, reviewed = '', None
    try:
        reviewed = reviewed_grade(path.with_name(REVIEW_FILE).read_bytes(), found.sha256)
    except FileNotFoundError:
        pass
    except OSError as err:
        fault = f"{one.folder.name}: its review cannot be opened ({err.strerror or err})."
    except NotLight as err:
        fault = f"{one.folder.name}: review.json {err}; the score is that of the record."
    return (
        fault, found.sha256, found.made_at, found.width_words, found.photo, found.photo_sha256, *found.box_px,
        *_grade(found.grade), *_grade(reviewed),
    )  # fmt: skip


def _grade(grade: LightGrade | None) -> _Row:
    return (None,) * _N_REVIEWED if grade is None else astuple(grade)


def _faulty(fault: str) -> _Row:
    return (fault.encode(errors='backslashreplace').decode(), *[None] * (_N_COLUMNS - _N_KEYS - 1))
