"""``grader show``: the short table of a record, with its review, or of a comparison that was written earlier."""

import json
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Verbose
from grader.commands.printable import printable
from grader.commands.review_store import record_at, review_of
from grader.comparison import COMPARISON_FILE, read_comparison
from grader.errors import RecordUnreadable
from grader.record_parts import file_bytes
from grader.report.compare_table import format_comparison
from grader.report.review_table import format_review
from grader.report.table import format_table


def show(
    record: Annotated[
        Path, typer.Argument(metavar='RECORD', help="A record.json, or a comparison.json, that grader wrote.")
    ],
    verbose: Verbose = False,
) -> None:
    """Print the short table of a record again.

    A review beside it is printed below.
    """
    if is_comparison(record):
        typer.echo(printable(format_comparison(read_comparison(record))))
        return
    at_hand = record_at(record)
    typer.echo(printable(format_table(at_hand.record)))
    if at_hand.review_path.exists():
        review = review_of(at_hand)
        typer.echo(printable(format_review(review, review.result)), nl=False)


def is_comparison(path: Path) -> bool:
    """Whether a file says that it is a comparison; what is wrong with it is told by the one who reads it."""
    try:
        fields = json.loads(file_bytes(path, "record").decode('utf-8'))
    except (RecordUnreadable, ValueError, RecursionError):
        return False
    return isinstance(fields, dict) and COMPARISON_FILE.version_field in fields
