"""Index for fast search: derived from the folders, may be deleted at any time, and is never the truth.

It is one table in SQLite, by Python's own library. Before each use the folders are compared with it: a piece whose
files have another time, size or place on the disk is read again.
"""

import contextlib
import functools
import os
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any, NamedTuple

from grader.collection.currencies import currency_of
from grader.collection.dates import first_year
from grader.collection.examinations import EXAMINATIONS_FOLDER, examinations_of
from grader.collection.folding import fold, natural_key
from grader.collection.lock import locked
from grader.collection.money import Money
from grader.collection.piece import PIECE_FILE, TEXT_FIELDS, Piece
from grader.collection.piece_folder import read_piece
from grader.collection.place import CollectionPlace
from grader.errors import CollectionUnreadable, OutputNotWritable

INDEX_FILE = 'index.sqlite'
_INDEX_VERSION = 1
_TABLE = """
CREATE TABLE pieces (
    folder TEXT PRIMARY KEY, signature TEXT NOT NULL, fault TEXT NOT NULL,
    id TEXT, inventory_number TEXT, title TEXT, maker TEXT, date_or_period TEXT, place_kept TEXT,
    value_units INTEGER, currency TEXT, n_examinations INTEGER,
    year INTEGER, inventory_key TEXT, title_key TEXT, maker_key TEXT, place_key TEXT, searched TEXT
)"""
_N_COLUMNS = 18
_SHOWN = 'folder, id, inventory_number, title, maker, date_or_period, place_kept, value_units, currency, n_examinations'
SORT_ORDERS = {
    'inventory': "inventory_key = '', inventory_key, title_key",
    'title': "title_key = '', title_key",
    'maker': "maker_key = '', maker_key, title_key",
    'period': 'year IS NULL, year, title_key',
    'place': "place_key = '', place_key, title_key",
    'value': 'currency IS NULL, currency, value_units DESC, title_key',
}
"""Orders of a list, and how SQL says them; pieces without the field come last."""


class PieceRow(NamedTuple):
    """What a list shows of a piece; a named tuple, since ten thousand dataclasses take 20 ms longer to make."""

    folder: str
    id: str
    inventory_number: str
    title: str
    maker: str
    date_or_period: str
    place_kept: str
    value: Money | None
    n_examinations: int


@dataclass(frozen=True, slots=True)
class Index:
    """Index that is up to date with the folders."""

    connection: sqlite3.Connection

    def rows(self, words: Sequence[str] = (), sort: str = 'inventory') -> tuple[PieceRow, ...]:
        """Pieces in which each of the words occurs in some field, whatever case and accents; all without words."""
        folded = [fold(word) for word in words]
        where = ''.join(' AND instr(searched, ?) > 0' for _ in folded)
        query = f"SELECT {_SHOWN} FROM pieces WHERE fault = ''{where} ORDER BY {SORT_ORDERS[sort]}, folder"
        return tuple(_row(found) for found in self.connection.execute(query, folded))

    def faults(self) -> tuple[str, ...]:
        """What is wrong with folders that could not be read, and ids that two folders have."""
        found = [fault for (fault,) in self.connection.execute("SELECT fault FROM pieces WHERE fault <> '' ORDER BY 1")]
        twice = 'SELECT id, group_concat(folder, \', \') FROM pieces GROUP BY id HAVING id IS NOT NULL AND count(*) > 1'
        for one_id, folders in self.connection.execute(twice):
            found.append(f"Folders of the same id {one_id}: {folders}. Move all but one of them out of \"pieces\".")
        return tuple(found)

    def folders_where(self, column: str, value: str) -> tuple[str, ...]:
        """Folders of the pieces that have just this value."""
        query = f'SELECT folder FROM pieces WHERE {column} = ? ORDER BY folder'
        return tuple(folder for (folder,) in self.connection.execute(query, (value,)))

    def ids(self) -> frozenset[str]:
        """Ids in use."""
        return frozenset(found for (found,) in self.connection.execute('SELECT id FROM pieces WHERE id IS NOT NULL'))

    def folder_names(self) -> tuple[str, ...]:
        """Names of all folders of pieces."""
        return tuple(found for (found,) in self.connection.execute('SELECT folder FROM pieces ORDER BY folder'))


@contextlib.contextmanager
def index_for_reading(place: CollectionPlace, purpose: str) -> Iterator[Index]:
    """Index for a command that only reads; in memory where the folder cannot be written, as on a backup."""
    try:
        with locked(place, purpose):
            index = open_index(place)
    except OutputNotWritable:
        index = Index(_empty(':memory:'))
        _refresh(index.connection, place)
    with contextlib.closing(index.connection):
        yield index


def open_index(place: CollectionPlace) -> Index:
    """Index on the disk, brought up to date; to be called under the lock. A damaged one is made anew."""
    path = place.own / INDEX_FILE
    try:
        connection = _connect(path)
        _refresh(connection, place)
    except sqlite3.DatabaseError as err:
        if isinstance(err, sqlite3.OperationalError) and not path.exists():
            raise OutputNotWritable(f"{path}: it cannot be written ({err}).", "Check the folder and the disk.") from err
        drop_index(place)
        connection = _connect(path)
        _refresh(connection, place)
    return Index(connection)


def drop_index(place: CollectionPlace) -> None:
    """Delete the index; to be called under the lock."""
    for suffix in ('', '-journal', '-wal', '-shm'):
        (place.own / f'{INDEX_FILE}{suffix}').unlink(missing_ok=True)


def _connect(path: Path) -> sqlite3.Connection:
    if not path.exists():
        return _empty(str(path))
    connection = sqlite3.connect(path)
    if connection.execute('PRAGMA user_version').fetchone()[0] != _INDEX_VERSION:
        connection.close()
        path.unlink()
        return _empty(str(path))
    return connection


def _empty(path: str) -> sqlite3.Connection:
    connection = sqlite3.connect(path)
    with connection:
        connection.execute(_TABLE)
        connection.execute(f'PRAGMA user_version = {_INDEX_VERSION}')
    return connection


def _refresh(connection: sqlite3.Connection, place: CollectionPlace) -> None:
    known = dict(connection.execute('SELECT folder, signature FROM pieces'))
    present = dict(_signatures(place.pieces))
    changed = [folder for folder, signature in present.items() if known.get(folder) != signature]
    gone = [(folder,) for folder in known if folder not in present]
    if not changed and not gone:
        return
    with connection:
        connection.executemany('DELETE FROM pieces WHERE folder = ?', gone)
        connection.executemany(
            f'INSERT OR REPLACE INTO pieces VALUES ({",".join("?" * _N_COLUMNS)})',
            (_values(place.pieces / folder, present[folder]) for folder in changed),
        )


def _signatures(pieces: Path) -> Iterator[tuple[str, str]]:
    """Name of each piece's folder, and a text that changes with the files in it."""
    top = str(pieces)
    with os.scandir(top) as entries:
        names = [entry.name for entry in entries if entry.is_dir() and not entry.name.startswith('.')]
    for name in names:
        yield name, f'{_stamp(f"{top}/{name}/{PIECE_FILE}")} {_stamp(f"{top}/{name}/{EXAMINATIONS_FOLDER}")}'


def _stamp(path: str) -> str:
    try:
        found = os.stat(path)
    except OSError:
        return '-'
    return f'{found.st_mtime_ns} {found.st_ctime_ns} {found.st_size} {found.st_ino}'


def _values(folder: Path, signature: str) -> tuple[str | int | None, ...]:
    """Row of the table for a folder."""
    try:
        piece = read_piece(folder).piece
    except CollectionUnreadable as err:
        return (folder.name, signature, str(err), *[None] * (_N_COLUMNS - 3))
    value = piece.value
    units = None if value is None else int(value.amount.scaleb(currency_of(value.currency).decimals))
    return (
        folder.name, signature, '',
        piece.id, piece.inventory_number, piece.title, piece.maker, piece.date_or_period, piece.place_kept,
        units, None if value is None else value.currency, len(examinations_of(folder)),
        first_year(piece.date_or_period), natural_key(piece.inventory_number), fold(piece.title), fold(piece.maker),
        natural_key(piece.place_kept), '\n'.join(_searched(piece)),
    )  # fmt: skip


def _searched(piece: Piece) -> Iterable[str]:
    for name in TEXT_FIELDS:
        text = getattr(piece, name)
        if text:
            yield fold(text)


def _row(found: Sequence[Any]) -> PieceRow:
    *texts, units, code, n_examinations = found
    return PieceRow._make((*texts, None if code is None else _money(units, code), n_examinations))


@functools.cache
def _money(units: int, code: str) -> Money:
    """Money from its smallest units; values in a list are often alike."""
    return Money.model_construct(amount=Decimal(units).scaleb(-currency_of(code).decimals), currency=code)
