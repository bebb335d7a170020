"""``grader collection add-comparison``: a comparison goes to its piece."""

from pathlib import Path
from typing import Annotated

import typer

from grader.collection.find_piece import find_piece
from grader.collection.index import index_for_changing
from grader.collection.store_comparison import store_comparison
from grader.commands.collection.options import CollectionOption, PieceArgument, VerboseOption, place_from


def add_comparison(
    piece: PieceArgument,
    comparison: Annotated[
        Path, typer.Argument(metavar='FOLDER', help="Folder that \"grader compare --out\" made. It is copied.")
    ],
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Store a comparison in a piece's folder.

    Comparisons are counted from 0001 in the order in which they are stored. The very same one is stored once.
    """
    place = place_from(collection)
    with index_for_changing(place, 'add-comparison') as index:
        folder = place.pieces / find_piece(index, piece)
        done = store_comparison(place, folder, comparison)
    words = "Stored" if done.is_new else "It is stored already"
    typer.echo(f"{words}: {done.comparison.folder}")
    for side in done.unknown_sides:
        typer.echo(f"Note: the {side} side was not made from an examination that is stored with this piece.", err=True)
