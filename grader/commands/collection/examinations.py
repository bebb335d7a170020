"""``grader collection add-examination``: an examination goes to its piece."""

from pathlib import Path
from typing import Annotated

import typer

from grader.collection.find_piece import find_piece
from grader.collection.index import index_for_changing
from grader.collection.store_examination import store_examination
from grader.commands.collection.options import CollectionOption, PieceArgument, VerboseOption, place_from


def add_examination(
    piece: PieceArgument,
    examination: Annotated[
        Path, typer.Argument(metavar='FOLDER', help="Folder that \"grader examine --out\" made. It is copied.")
    ],
    photos: Annotated[
        list[Path] | None,
        typer.Option('--photo', metavar='PHOTO', help="A photo to store with it, best those that were examined."),
    ] = None,
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Store an examination in a piece's folder.

    Examinations are counted from 0001 in the order in which they are stored.
    """
    place = place_from(collection)
    with index_for_changing(place, 'add-examination') as index:
        folder = place.pieces / find_piece(index, piece)
        done = store_examination(place, folder, examination, photos or ())
    typer.echo(f"Stored: {done.folder}")
    for name in done.photos_missing:
        typer.echo(f"Note: the examined photo {name} is not stored with it. Keep it, or store it too.", err=True)
    for name in done.photos_unknown:
        typer.echo(f"Note: {name} is stored, but is not one of the photos that were examined.", err=True)
