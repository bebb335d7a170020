"""``grader history``: how the examinations of a piece changed."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.find_piece import find_piece
from grader.collection.history import read_history
from grader.collection.history_notes import history_notes
from grader.collection.index import index_for_reading
from grader.collection.piece_folder import read_piece
from grader.commands.collection.options import CollectionOption, JsonOption, PieceArgument, VerboseOption, place_from
from grader.errors import RecordUnreadable
from grader.output import new_file
from grader.report.history_plot import draw_history
from grader.report.history_table import format_history


def history(
    piece: PieceArgument,
    plot: Annotated[
        Path | None, typer.Option('--plot', metavar='FILE.svg', help="Also draw it, as an SVG picture for any browser.")
    ] = None,
    force: Annotated[bool, typer.Option('--force', help="Replace a picture that is there already.")] = False,
    collection: CollectionOption = None,
    as_json: JsonOption = False,
    verbose: VerboseOption = False,
) -> None:
    """Tell how a piece's examinations changed over time.

    Score, sizes and marks in a table; wear and re-polishing are pointed out where they are sure.
    """
    place = place_from(collection)
    with index_for_reading(place, 'history') as index:
        stored = read_piece(place.pieces / find_piece(index, piece))
    title = stored.piece.title or stored.piece.type_of_object or stored.folder.name
    past = read_history(stored.folder)
    notes = history_notes(past)
    if plot is not None:
        with new_file(plot, force=force) as work:
            work.write_text(draw_history(title, past), encoding='utf-8')
    if as_json:
        typer.echo(json.dumps({'title': title, **asdict(past), 'notes': notes}, indent=1, ensure_ascii=False))
    else:
        typer.echo(format_history(title, past, notes), nl=False)
    if plot is not None:
        typer.echo(f"Picture:  {plot}", err=True)
    if past.faults:
        faults = ''.join(f"- {fault}\n" for fault in past.faults)
        raise RecordUnreadable(
            f"{len(past.faults)} examination(s) could not be read:\n{faults}", "All others are in the table."
        )
