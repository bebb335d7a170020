"""The piece that the owner means."""

from grader.collection.constants import MIN_ID_PREFIX
from grader.collection.folding import fold
from grader.collection.index import Index, PieceRow
from grader.errors import PieceNotFound

_MAX_NAMED = 8


def find_piece(index: Index, wanted: str) -> str:
    """Name of the folder of the one piece that is meant.

    Parameters
    ----------
    index
        Index of the collection.
    wanted
        Id or at least four signs of its start, folder name, inventory number, title, or words of one title only.

    Raises
    ------
    PieceNotFound
        If there is none, or several.
    """
    if wanted in index.folder_names():
        return wanted
    for fits in (_by_id, _by_inventory_number, _by_title, _by_words_of_title):
        found = fits(index, wanted)
        if len(found) == 1:
            return found[0].folder
        if found:
            raise PieceNotFound(f"\"{wanted}\" fits {len(found)} pieces: {_named(found)}.", "Give the id of one.")
    raise PieceNotFound(f"No piece fits \"{wanted}\".", "\"grader collection list\" shows all.")


def _by_id(index: Index, wanted: str) -> list[PieceRow]:
    start = wanted.casefold()
    return [row for row in index.rows() if len(start) >= MIN_ID_PREFIX and row.id.startswith(start)]


def _by_inventory_number(index: Index, wanted: str) -> list[PieceRow]:
    return [row for row in index.rows() if row.inventory_number and fold(row.inventory_number) == fold(wanted)]


def _by_title(index: Index, wanted: str) -> list[PieceRow]:
    return [row for row in index.rows() if row.title and fold(row.title) == fold(wanted)]


def _by_words_of_title(index: Index, wanted: str) -> list[PieceRow]:
    words = fold(wanted).split()
    return [row for row in index.rows() if words and all(word in fold(row.title) for word in words)]


def _named(rows: list[PieceRow]) -> str:
    names = [f"{row.id} ({row.title or row.folder})" for row in rows[:_MAX_NAMED]]
    return ', '.join(names) + (" and others" if len(rows) > _MAX_NAMED else "")
