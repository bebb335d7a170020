"""``grader show``: the short table of a record that was written earlier."""

from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Verbose
from grader.record import read_record
from grader.report.table import format_table


def show(
    record: Annotated[Path, typer.Argument(metavar='RECORD', help="A record.json that \"grader examine\" wrote.")],
    verbose: Verbose = False,
) -> None:
    """Print the short table of a record again."""
    typer.echo(format_table(read_record(record)))
