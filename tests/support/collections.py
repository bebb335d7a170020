"""Small collections of invented pieces."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from grader.collection.index import PieceRow, index_for_changing, index_for_reading
from grader.collection.piece_folder import StoredPiece
from grader.collection.place import CollectionPlace, create_place
from grader.collection.store import add_piece


def new_collection(folder: Path, *pieces: dict[str, Any]) -> CollectionPlace:
    """Collection with these pieces."""
    place = create_place(folder / 'collection')
    for fields in pieces:
        add(place, fields)
    return place


def add(place: CollectionPlace, fields: dict[str, Any]) -> StoredPiece:
    """Add a piece."""
    with index_for_changing(place, 'test') as index:
        return add_piece(place, index, fields, [])


def rows(place: CollectionPlace, words: Sequence[str] = (), sort: str = 'inventory') -> tuple[PieceRow, ...]:
    """List or search."""
    with index_for_reading(place, 'test') as index:
        return index.rows(words, sort)


def titles(place: CollectionPlace, *words: str, sort: str = 'inventory') -> list[str]:
    """Titles that a search finds."""
    return [row.title for row in rows(place, words, sort)]
