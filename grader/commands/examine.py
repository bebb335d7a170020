"""``grader examine``: photos of a piece in, record, annotated pictures and a short table out."""

from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import (
    Base,
    CardScale,
    Force,
    Height,
    PhotoPaths,
    Profile,
    RequireCard,
    Verbose,
    When,
    Wiped,
    check_given,
    settings_from,
    time_from,
)
from grader.commands.results import RECORD_NAME, marked_names, write_results
from grader.output import check_new_folder, new_folder
from grader.pipeline import Examination, examine_photos
from grader.progress import progress_for
from grader.report.table import format_table


def examine(
    photos: PhotoPaths,
    out: Annotated[
        Path | None,
        typer.Option('--out', metavar='DIR', help="New folder for the record and the annotated pictures."),
    ] = None,
    as_json: Annotated[bool, typer.Option('--json', help="Print the record instead of the table.")] = False,
    require_card: RequireCard = False,
    card_scale_mm: CardScale = None,
    height_mm: Height = None,
    profile: Profile = None,
    wiped: Wiped = None,
    base: Base = None,
    when: When = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Examine the photos of one piece.

    Gives size, marks, grade and annotated pictures; several photos make one judgement.
    """
    check_given('--wiped', wiped or (), photos)
    check_given('--base', base or (), photos)
    settings = settings_from(require_card, card_scale_mm, height_mm, profile, wiped or (), base or ())
    now = time_from(when)
    if out is not None:
        check_new_folder(out, force=force)
    examination = examine_photos(photos, settings, now=now, progress=progress_for())
    if out is not None:
        with new_folder(out, force=force, keep=photos) as work:
            write_results(examination, work)
    typer.echo(examination.record.to_json() if as_json else format_table(examination.record), nl=not as_json)
    for fault in examination.record.faults:
        typer.echo(f"Not examined: {fault.problem} {fault.remedy}", err=True)
    if not as_json:
        tell_places(examination, out)


def tell_places(examination: Examination, out: Path | None) -> None:
    """Print where the results lie, or that there are none on the disk."""
    if out is None:
        typer.echo("Nothing was written. Add --out DIR for the record and the annotated picture.")
        return
    typer.echo(f"Record:   {out / RECORD_NAME}")
    for name in marked_names(examination):
        typer.echo(f"Picture:  {out / name}")
