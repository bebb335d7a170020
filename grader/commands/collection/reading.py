"""``grader collection list``, ``search`` and ``show``: what reads a collection and changes nothing in it."""

import json
from typing import Annotated, Any

import typer

from grader.collection.examinations import examinations_of
from grader.collection.find_piece import find_piece
from grader.collection.index import SORT_ORDERS, PieceRow, index_for_reading
from grader.collection.piece_folder import read_piece
from grader.commands.collection.options import (
    CollectionOption,
    JsonOption,
    PieceArgument,
    VerboseOption,
    place_from,
)
from grader.errors import CollectionUnreadable, SettingsInvalid
from grader.report.collection_table import format_piece, format_rows

SortOption = Annotated[
    str, typer.Option('--sort', metavar='ORDER', help=f"Order of the list: {', '.join(SORT_ORDERS)}.")
]


def list_pieces(
    collection: CollectionOption = None,
    sort: SortOption = 'inventory',
    as_json: JsonOption = False,
    verbose: VerboseOption = False,
) -> None:
    """List all pieces."""
    _tell((), collection, sort, as_json)


def search(
    words: Annotated[list[str], typer.Argument(metavar='WORD...', help="Words that must all occur, in any field.")],
    collection: CollectionOption = None,
    sort: SortOption = 'inventory',
    as_json: JsonOption = False,
    verbose: VerboseOption = False,
) -> None:
    """List the pieces in which words occur.

    Capitals and accents make no difference, and parts of words are found.
    """
    _tell(tuple(words), collection, sort, as_json)


def show(
    piece: PieceArgument,
    collection: CollectionOption = None,
    as_json: JsonOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Show all that is known of a piece."""
    place = place_from(collection)
    with index_for_reading(place, 'show') as index:
        stored = read_piece(place.pieces / find_piece(index, piece))
    if as_json:
        typer.echo(stored.piece.to_json(), nl=False)
        return
    typer.echo(format_piece(stored, examinations_of(stored.folder)), nl=False)


def _tell(words: tuple[str, ...], collection: Any, sort: str, as_json: bool) -> None:
    if sort not in SORT_ORDERS:
        raise SettingsInvalid(f"--sort {sort}: there is no such order.", f"Orders are {', '.join(SORT_ORDERS)}.")
    place = place_from(collection)
    with index_for_reading(place, 'list') as index:
        rows, faults = index.rows(words, sort), index.faults()
    if as_json:
        typer.echo(json.dumps([_as_json(row) for row in rows], indent=1, ensure_ascii=False))
    else:
        typer.echo(format_rows(rows), nl=False)
    if faults:
        raise CollectionUnreadable(
            "\n".join([f"{len(faults)} folder(s) could not be read:", *(f"- {fault}" for fault in faults), ""]),
            "All others are listed.",
        )


def _as_json(row: PieceRow) -> dict[str, Any]:
    value = None if row.value is None else row.value.model_dump(mode='json')
    names = ('folder', 'id', 'inventory_number', 'title', 'maker', 'date_or_period', 'place_kept', 'n_examinations')
    return {**{name: getattr(row, name) for name in names}, 'value': value}
