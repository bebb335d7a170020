"""``grader collection create``, ``import``, ``export`` and ``reindex``: the collection as a whole."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.constants import MAX_IMPORT_BYTES
from grader.collection.csv_form import from_csv, to_csv
from grader.collection.import_faults import Candidate, Faults, import_faulty
from grader.collection.import_plan import ImportPlan, carry_out, plan_import
from grader.collection.index import Index, index_for_changing, index_for_reading
from grader.collection.index_file import drop_index
from grader.collection.json_form import from_json, to_json
from grader.collection.lock import locked
from grader.collection.piece import Piece
from grader.collection.piece_folder import StoredPiece, read_piece
from grader.collection.place import CollectionPlace, create_place
from grader.commands.collection.options import PLACE_VARIABLE, CollectionOption, VerboseOption, place_from
from grader.errors import CollectionUnreadable, ImportFaulty, SettingsInvalid
from grader.output import new_file
from grader.report.collection_table import format_plan

_READERS: dict[str, Callable[[str], tuple[tuple[Candidate, ...], Faults]]] = {'.csv': from_csv, '.json': from_json}
_WRITERS: dict[str, Callable[[Iterable[Piece]], str]] = {'.csv': to_csv, '.json': to_json}


def create(
    folder: Annotated[Path, typer.Argument(metavar='DIR', help="New or empty folder.")],
    verbose: VerboseOption = False,
) -> None:
    """Make an empty collection in a new folder."""
    create_place(folder)
    typer.echo(f"Collection: {folder}")
    typer.echo(f"Name it with --collection, or once for all in the environment as {PLACE_VARIABLE}.", err=True)


def import_pieces(
    file: Annotated[Path, typer.Argument(metavar='FILE', help="Table (.csv) or JSON file (.json), see README.")],
    dry_run: Annotated[bool, typer.Option('--dry-run', help="Only tell what would change.")] = False,
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Add and change pieces by a CSV or JSON file.

    Empty cells change nothing; what is replaced is kept in the piece's folder "earlier". A file with faults is not
    imported at all.
    """
    candidates, faults = _READERS[_form(file)](_text_of(file))
    place = place_from(collection)
    if dry_run:
        with index_for_reading(place, 'import') as index:
            plan = _plan(place, index, file, candidates, faults)
        typer.echo(format_plan(plan, is_done=False), nl=False)
        return
    with index_for_changing(place, 'import') as index:
        plan = _plan(place, index, file, candidates, faults)
        carry_out(place, plan)
    typer.echo(format_plan(plan, is_done=True), nl=False)


def export(
    out: Annotated[Path, typer.Argument(metavar='FILE', help="File to write: a table (.csv) or JSON (.json).")],
    bom: Annotated[
        bool, typer.Option('--bom', help="Begin the table with a mark by which spreadsheets recognise accents.")
    ] = False,
    force: Annotated[bool, typer.Option('--force', help="Replace a file that is there already.")] = False,
    collection: CollectionOption = None,
    verbose: VerboseOption = False,
) -> None:
    """Write all pieces to a CSV or JSON file."""
    write = _WRITERS[_form(out)]
    place = place_from(collection)
    with index_for_reading(place, 'export') as index:
        pieces = [one.piece for one in all_pieces(place, index)]
    with new_file(out, force=force) as work:
        work.write_bytes(write(pieces).encode('utf-8-sig' if bom else 'utf-8'))
    typer.echo(f"{len(pieces)} pieces: {out}")


def reindex(collection: CollectionOption = None, verbose: VerboseOption = False) -> None:
    """Make the index for search anew.

    It is never needed, since changed folders are noticed; it does no harm either.
    """
    place = place_from(collection)
    with locked(place, 'reindex'):
        drop_index(place)
    with index_for_reading(place, 'reindex') as index:
        n_pieces = len(index.rows())
    typer.echo(f"{n_pieces} piece(s) are in the new index.")


def _form(path: Path) -> str:
    if path.suffix.lower() not in _READERS:
        raise SettingsInvalid(
            f"{path}: the name must end in .csv or .json.", "Give the file a name that tells its form."
        )
    return path.suffix.lower()


def _text_of(path: Path) -> str:
    try:
        if path.stat().st_size > MAX_IMPORT_BYTES:
            raise ImportFaulty(f"{path}: the file has more than {MAX_IMPORT_BYTES:,} bytes.", "Import it in parts.")
        return path.read_bytes().decode('utf-8')
    except OSError as err:
        raise ImportFaulty(f"{path}: it cannot be opened ({err.strerror or err}).", "Check the name.") from err
    except UnicodeDecodeError as err:
        line = 1 + err.object[: err.start].count(b'\n')
        raise ImportFaulty(
            f"{path}: line {line} is not UTF-8 text.", "Save the table anew, with \"UTF-8\" as its character set."
        ) from err


def _plan(
    place: CollectionPlace, index: Index, file: Path, candidates: tuple[Candidate, ...], faults: Faults
) -> ImportPlan:
    plan, more = plan_import(candidates, all_pieces(place, index))
    if faults or more:
        raise import_faulty(file.name, (*faults, *more))
    return plan


def all_pieces(place: CollectionPlace, index: Index) -> list[StoredPiece]:
    """All pieces, read from their folders in the order of the list; a damaged one ends it, so that none is lost.

    Raises
    ------
    CollectionUnreadable
        If one is damaged.
    """
    faults = index.faults()
    if faults:
        raise CollectionUnreadable(
            "\n".join([f"{len(faults)} folder(s) cannot be read:", *(f"- {fault}" for fault in faults), ""]),
            "Mend them first, so that none is left out.",
        )
    return [read_piece(place.pieces / row.folder) for row in index.rows()]
