"""``grader demo``: the main jobs on the photos that are shipped with the program."""

from importlib import resources
from itertools import count
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.compare import compare
from grader.commands.examine import examine
from grader.commands.options import Force, Verbose
from grader.photos.load import PHOTO_SUFFIXES

_DEFAULT_OUT = 'grader-demo'
_JOURNEY = 'journey'


def demo(
    out: Annotated[
        Path | None, typer.Option('--out', metavar='DIR', help="New folder for the results.", show_default=False)
    ] = None,
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Examine the shipped photos of an invented piece.

    Then another is compared before and after a journey. Says what to open in the end.
    """
    folder = _free_folder() if out is None else out
    with resources.as_file(resources.files('grader') / 'demo_photos') as photos:
        paths = sorted(path for path in photos.iterdir() if path.suffix.lower() in PHOTO_SUFFIXES)
        examine(paths, out=folder, force=force, verbose=verbose)
        typer.echo("\nAnother piece, before and after a journey:\n")
        before, after = (photos / _JOURNEY / name for name in ('before.jpg', 'after.jpg'))
        compare(before, after, out=folder / _JOURNEY, force=force, verbose=verbose)
    typer.echo("")
    typer.echo("These were invented pieces. Open the first picture named above to see the marks with their numbers,")
    typer.echo("and the page of the journey in a browser to slide and blink between both photos.")
    typer.echo("README.md tells how to print the card and photograph a piece of your own.")


def _free_folder() -> Path:
    """First of grader-demo, grader-demo-2, ... that does not exist in the current folder."""
    names = (Path(_DEFAULT_OUT if number == 1 else f'{_DEFAULT_OUT}-{number}') for number in count(1))
    return next(path for path in names if not path.exists())
