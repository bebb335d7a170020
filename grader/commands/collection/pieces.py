"""``grader collection add``, ``edit`` and ``remove``: changes to single pieces."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import typer

from grader.collection.find_piece import find_piece
from grader.collection.index import index_for_changing
from grader.collection.piece_folder import read_piece
from grader.collection.store import NewPhoto, add_piece, edit_piece, remove_piece
from grader.commands.collection.options import (
    CollectionOption,
    PhotoOption,
    PieceArgument,
    ScaledPhotoOption,
    SetOption,
    VerboseOption,
    fields_from,
    place_from,
)
from grader.errors import SettingsInvalid


def add(
    settings: SetOption = None,
    photos: PhotoOption = None,
    photos_with_scale: ScaledPhotoOption = None,
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Add a piece.

    Its id is printed; it stays the same for ever.
    """
    fields = fields_from(settings or ())
    if not fields:
        raise SettingsInvalid("Nothing is said of the piece.", "Give at least --set title=TEXT.")
    place = place_from(collection)
    with index_for_changing(place, 'add') as index:
        stored = add_piece(place, index, fields, _new_photos(photos, photos_with_scale))
    typer.echo(stored.piece.id)
    typer.echo(f"Added: {stored.folder}", err=True)


def edit(
    piece: PieceArgument,
    settings: SetOption = None,
    photos: PhotoOption = None,
    photos_with_scale: ScaledPhotoOption = None,
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Change what is known of a piece.

    Fields that are not named stay; an empty text clears a field. The version before is kept in its folder "earlier".
    """
    fields = fields_from(settings or ())
    place = place_from(collection)
    with index_for_changing(place, 'edit') as index:
        before = read_piece(place.pieces / find_piece(index, piece))
        after = edit_piece(place, before, fields, _new_photos(photos, photos_with_scale))
    typer.echo("Nothing was to be changed." if after == before else f"Changed: {after.folder}")


def remove(piece: PieceArgument, collection: CollectionOption = None, verbose: VerboseOption = False) -> None:
    """Move a piece into the collection's trash.

    Nothing is deleted: move the folder back into "pieces" to have it again.
    """
    place = place_from(collection)
    with index_for_changing(place, 'remove') as index:
        folder = place.pieces / find_piece(index, piece)
        trash = remove_piece(place, folder, datetime.now())
    typer.echo(f"Moved to: {trash}")
    typer.echo(f"To have it again, move it back to {folder}.", err=True)


def _new_photos(photos: Sequence[Path] | None, photos_with_scale: Sequence[Path] | None) -> list[NewPhoto]:
    plain = [NewPhoto(path) for path in photos or ()]
    return plain + [NewPhoto(path, with_scale=True) for path in photos_with_scale or ()]
