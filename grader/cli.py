"""The command line: which commands there are. Each is a file in ``commands/``; only they print or exit."""

from typing import Annotated

import typer

from grader.commands.batch import batch
from grader.commands.calibrate import calibrate_camera
from grader.commands.card import card
from grader.commands.demo import demo
from grader.commands.edge import at_the_edge
from grader.commands.examine import examine
from grader.commands.marks import marks
from grader.commands.show import show
from grader.version import __version__

app = typer.Typer(
    name='grader',
    help="Condition grader for art-glass paperweights: photos in, a record with size, marks and grade out.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

for _name, _command in (
    ('card', card),
    ('examine', examine),
    ('batch', batch),
    ('marks', marks),
    ('calibrate', calibrate_camera),
    ('show', show),
    ('demo', demo),
):
    app.command(_name)(at_the_edge(_command))


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"grader {__version__}")
        raise typer.Exit()


@app.callback()
def _grader(
    version: Annotated[
        bool, typer.Option('--version', help="Print the version.", callback=_print_version, is_eager=True)
    ] = False,
) -> None:
    """Take options that come before a command."""


def main() -> None:
    """Run the command line."""
    app()
