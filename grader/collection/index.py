"""Index for fast search: derived from the folders, may be deleted at any time, and is never the truth.

It is one table in SQLite, by Python's own library. Before each use the folders are compared with it: a piece whose
files have another time, size or place on the disk is read again.
"""

import contextlib
import functools
import sqlite3
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

from grader.collection.currencies import currency_of
from grader.collection.folding import fold
from grader.collection.index_file import connect_as_it_is, connect_index, index_in_memory, signature_of
from grader.collection.lock import locked
from grader.collection.money import Money
from grader.collection.place import CollectionPlace
from grader.collection.shelf_rows import ExaminationsOf, examinations_in
from grader.collection.summary_file import refresh_summaries
from grader.errors import OutputNotWritable

_SHELVED = 'folder, id, inventory_number, title, maker, date_or_period, measurements, photo'
_IS_SUMMARISED = """n_examinations = 0 OR EXISTS (
    SELECT * FROM examinations WHERE examinations.folder = pieces.folder AND examinations.listed = pieces.listed)"""
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


class ShelfRow(NamedTuple):
    """What a wall of pieces shows of one."""

    folder: str
    id: str
    inventory_number: str
    title: str
    maker: str
    date_or_period: str
    measurements: str
    """As the owner states them."""
    photo: str
    """File name of the first photo that its ``piece.json`` names, '' for none."""
    examinations: ExaminationsOf


@dataclass(frozen=True, slots=True)
class Index:
    """Index that is up to date with the folders."""

    connection: sqlite3.Connection

    def rows(self, words: Sequence[str] = (), sort: str = 'inventory') -> tuple[PieceRow, ...]:
        """Pieces in which each of the words occurs in some field, whatever case and accents; all without words."""
        return tuple(_row(found) for found in self._found(_SHOWN, words, sort))

    def shelf(self, words: Sequence[str], sort: str, part: slice) -> tuple[ShelfRow, ...]:
        """Some of these pieces with their examinations, as far as the index was prepared for them."""
        return tuple(
            ShelfRow._make((*found, examinations_in(self.connection, found[0])))
            for found in list(self._found(_SHELVED, words, sort))[part]
        )

    def shelf_row(self, folder: str) -> ShelfRow:
        """One piece with its examinations, as far as the index was prepared for them."""
        query = f"SELECT {_SHELVED} FROM pieces WHERE folder = ? AND fault = ''"
        found = self.connection.execute(query, (folder,)).fetchone()
        return ShelfRow._make((*found, examinations_in(self.connection, folder)))

    def folders_of(self, words: Sequence[str], sort: str) -> list[str]:
        """Folders of these pieces."""
        return [folder for (folder,) in self._found('folder', words, sort)]

    def _found(self, shown: str, words: Sequence[str], sort: str) -> Iterable[Sequence[Any]]:
        folded = [fold(word) for word in words]
        where = ''.join(' AND instr(searched, ?) > 0' for _ in folded)
        query = f"SELECT {shown} FROM pieces WHERE fault = ''{where} ORDER BY {SORT_ORDERS[sort]}, folder"
        return self.connection.execute(query, folded)

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

    def n_pieces(self) -> int:
        """How many pieces can be read."""
        return int(self.connection.execute("SELECT count(*) FROM pieces WHERE fault = ''").fetchone()[0])

    def ids(self) -> frozenset[str]:
        """Ids in use."""
        return frozenset(found for (found,) in self.connection.execute('SELECT id FROM pieces WHERE id IS NOT NULL'))

    def folder_names(self) -> tuple[str, ...]:
        """Names of all folders of pieces."""
        return tuple(found for (found,) in self.connection.execute('SELECT folder FROM pieces ORDER BY folder'))


def shelf_row_as_known(place: CollectionPlace, piece_id: str) -> ShelfRow | None:
    """Row of a piece as the index on the disk has it, without a look at the other pieces and without the lock.

    For small pictures, which a page asks for by the dozen. None where the index does not know the one piece of this id,
    or its files have changed since.
    """
    try:
        with contextlib.closing(connect_as_it_is(place)) as connection:
            query = f"SELECT {_SHELVED}, signature, {_IS_SUMMARISED} FROM pieces WHERE id = ? AND fault = ''"
            found = connection.execute(query, (piece_id,)).fetchall()
            if len(found) != 1:
                return None
            *shown, signature, is_summarised = found[0]
            if not is_summarised or signature != signature_of(str(place.pieces / shown[0])):
                return None
            return ShelfRow._make((*shown, examinations_in(connection, shown[0])))
    except sqlite3.DatabaseError:
        return None


@contextlib.contextmanager
def index_for_reading(
    place: CollectionPlace, purpose: str, *, examined: Callable[[Index], Collection[str] | None] | None = None
) -> Iterator[Index]:
    """Index for a command that only reads; in memory where the folder cannot be written, as on a backup.

    Parameters
    ----------
    place
        The collection.
    purpose
        Name of the command, to be told to others who wait.
    examined
        Tells of which folders the examinations are needed, of all by None; without it they are left as they were.
    """

    def prepare(connection: sqlite3.Connection) -> None:
        if examined is not None:
            refresh_summaries(connection, place.pieces, examined(Index(connection)))
        # What is read after the lock is free again is of this moment, also if the index is made anew meanwhile.
        connection.execute('BEGIN')
        connection.execute('SELECT count(*) FROM pieces').fetchone()

    try:
        with locked(place, purpose):
            connection = connect_index(place, prepare)
    except OutputNotWritable:
        connection = index_in_memory(place, prepare)
    with contextlib.closing(connection):
        yield Index(connection)


@contextlib.contextmanager
def index_for_changing(place: CollectionPlace, purpose: str) -> Iterator[Index]:
    """Index for a command that changes the collection, which it has for itself meanwhile."""
    with locked(place, purpose), contextlib.closing(connect_index(place)) as connection:
        yield Index(connection)


def _row(found: Sequence[Any]) -> PieceRow:
    *texts, units, code, n_examinations = found
    return PieceRow._make((*texts, None if code is None else _money(units, code), n_examinations))


@functools.cache
def _money(units: int, code: str) -> Money:
    """Money from its smallest units; values in a list are often alike."""
    return Money.model_construct(amount=Decimal(units).scaleb(-currency_of(code).decimals), currency=code)
