"""The file of the index: its tables, and keeping the one of the pieces in step with the folders."""

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from grader.collection.currencies import currency_of
from grader.collection.dates import first_year
from grader.collection.examinations import EXAMINATIONS_FOLDER, examinations_of
from grader.collection.folding import fold, natural_key
from grader.collection.piece import PIECE_FILE, TEXT_FIELDS, Piece
from grader.collection.piece_folder import read_piece
from grader.collection.place import CollectionPlace
from grader.collection.stamp import stamp
from grader.collection.summary_file import SUMMARY_TABLE
from grader.errors import CollectionUnreadable

INDEX_FILE = 'index.sqlite'
IN_MEMORY = ':memory:'
_INDEX_VERSION = 2
_TABLE = """
CREATE TABLE pieces (
    folder TEXT PRIMARY KEY, signature TEXT NOT NULL, listed TEXT NOT NULL, fault TEXT NOT NULL,
    id TEXT, inventory_number TEXT, title TEXT, maker TEXT, date_or_period TEXT, place_kept TEXT,
    value_units INTEGER, currency TEXT, n_examinations INTEGER,
    photo TEXT, measurements TEXT,
    year INTEGER, inventory_key TEXT, title_key TEXT, maker_key TEXT, place_key TEXT, searched TEXT
)"""
_N_COLUMNS = 21
Preparation = Callable[[sqlite3.Connection], None]


def _nothing(connection: sqlite3.Connection) -> None:
    """Prepare nothing."""


def connect_index(place: CollectionPlace, prepare: Preparation = _nothing) -> sqlite3.Connection:
    """Connect to an index that is up to date with the folders; to be called under the lock.

    A damaged one is made anew; where the disk has no room for any, it is made in memory.

    Parameters
    ----------
    place
        The collection.
    prepare
        What else to bring up to date in it: the table of examinations takes two looks at each.
    """
    path = place.own / INDEX_FILE
    try:
        return _connect(str(path), place, prepare)
    except sqlite3.DatabaseError:
        try:
            drop_index(place)
            return _connect(str(path), place, prepare)
        except (sqlite3.DatabaseError, OSError):
            return index_in_memory(place, prepare)


def index_in_memory(place: CollectionPlace, prepare: Preparation = _nothing) -> sqlite3.Connection:
    """Index that is gone with the program, for folders that cannot be written."""
    return _connect(IN_MEMORY, place, prepare)


def connect_as_it_is(place: CollectionPlace) -> sqlite3.Connection:
    """Connect to the index on the disk to read in it, however old it is.

    Raises
    ------
    sqlite3.DatabaseError
        If there is none of this version.
    """
    connection = sqlite3.connect(f'{(place.own / INDEX_FILE).absolute().as_uri()}?mode=ro', uri=True)
    try:
        if connection.execute('PRAGMA user_version').fetchone()[0] != _INDEX_VERSION:
            raise sqlite3.DatabaseError('another version')
    except sqlite3.DatabaseError:
        connection.close()
        raise
    return connection


def drop_index(place: CollectionPlace) -> None:
    """Delete the index; to be called under the lock."""
    for suffix in ('', '-journal', '-wal', '-shm'):
        (place.own / f'{INDEX_FILE}{suffix}').unlink(missing_ok=True)


def _connect(path: str, place: CollectionPlace, prepare: Preparation) -> sqlite3.Connection:
    connection = sqlite3.connect(path)
    try:
        if connection.execute('PRAGMA user_version').fetchone()[0] != _INDEX_VERSION:
            with connection:
                for name, table in (('pieces', _TABLE), ('examinations', SUMMARY_TABLE)):
                    connection.execute(f'DROP TABLE IF EXISTS {name}')
                    connection.execute(table)
                connection.execute(f'PRAGMA user_version = {_INDEX_VERSION}')
        _refresh(connection, place)
        prepare(connection)
    except sqlite3.DatabaseError:
        connection.close()
        raise
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
        as_text = name.encode(errors='backslashreplace').decode()
        if as_text != name:
            # Bytes that are no text: told under a name that does not exist, as a folder that cannot be read.
            yield as_text, '- / -'
            continue
        yield name, signature_of(f'{top}/{name}')


def signature_of(folder: str) -> str:
    """A text that changes with a piece's file and with which examinations it has."""
    return f'{stamp(f"{folder}/{PIECE_FILE}")} / {stamp(f"{folder}/{EXAMINATIONS_FOLDER}")}'


def _values(folder: Path, signature: str) -> tuple[str | int | None, ...]:
    """Row of the table for a folder."""
    listed = signature.partition(' / ')[2]
    try:
        piece = read_piece(folder).piece
    except CollectionUnreadable as err:
        return (folder.name, signature, listed, str(err), *[None] * (_N_COLUMNS - 4))
    value = piece.value
    units = None if value is None else int(value.amount.scaleb(currency_of(value.currency).decimals))
    return (
        folder.name, signature, listed, '',
        piece.id, piece.inventory_number, piece.title, piece.maker, piece.date_or_period, piece.place_kept,
        units, None if value is None else value.currency, len(examinations_of(folder)),
        piece.photos[0].file if piece.photos else '', piece.measurements,
        first_year(piece.date_or_period), natural_key(piece.inventory_number), fold(piece.title), fold(piece.maker),
        natural_key(piece.place_kept), '\n'.join(_searched(piece)),
    )  # fmt: skip


def _searched(piece: Piece) -> Iterable[str]:
    for name in TEXT_FIELDS:
        text = getattr(piece, name)
        if text:
            yield fold(text)
