"""The command line: which commands there are. Each is a file in ``commands/``; only they print or exit."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from grader.commands.edge import at_the_edge
from grader.version import __version__


@dataclass(frozen=True, slots=True)
class CommandPlace:
    """Where a command is and what it does, told without loading it."""

    module: str
    """Name of its module."""
    function: str
    """Name of its function in there."""
    summary: str
    """First line of the function's docstring."""

    def load(self) -> Callable[..., None]:
        """The function itself; loading it loads all that the command needs."""
        function: Callable[..., None] = getattr(import_module(self.module), self.function)
        return function


@dataclass(frozen=True, slots=True)
class GroupPlace:
    """A command that has commands of its own."""

    summary: str
    """What it is for."""
    commands: dict[str, CommandPlace]
    """Its commands by name."""


# Libraries of linear algebra read these when they are loaded, which is after the command line is read. Their threads
# only wait for each other in problems as small as ours; a batch runs one process a core instead.
_THREAD_SETTINGS = ('OPENBLAS_NUM_THREADS', 'OMP_NUM_THREADS')

COLLECTION_COMMANDS = {
    'create': CommandPlace('grader.commands.collection.files', 'create', "Make an empty collection in a new folder."),
    'add': CommandPlace('grader.commands.collection.pieces', 'add', "Add a piece."),
    'list': CommandPlace('grader.commands.collection.reading', 'list_pieces', "List all pieces."),
    'search': CommandPlace('grader.commands.collection.reading', 'search', "List the pieces in which words occur."),
    'show': CommandPlace('grader.commands.collection.reading', 'show', "Show all that is known of a piece."),
    'edit': CommandPlace('grader.commands.collection.pieces', 'edit', "Change what is known of a piece."),
    'add-examination': CommandPlace(
        'grader.commands.collection.examinations', 'add_examination', "Store an examination in a piece's folder."
    ),
    'add-comparison': CommandPlace(
        'grader.commands.collection.comparisons', 'add_comparison', "Store a comparison in a piece's folder."
    ),
    'import': CommandPlace(
        'grader.commands.collection.files', 'import_pieces', "Add and change pieces by a CSV or JSON file."
    ),
    'export': CommandPlace('grader.commands.collection.files', 'export', "Write all pieces to a CSV or JSON file."),
    'remove': CommandPlace('grader.commands.collection.pieces', 'remove', "Move a piece into the collection's trash."),
    'reindex': CommandPlace('grader.commands.collection.files', 'reindex', "Make the index for search anew."),
}

REPORT_COMMANDS = {
    'condition': CommandPlace(
        'grader.commands.report.condition', 'condition', "Write the condition report of an examined piece."
    ),
    'journey': CommandPlace(
        'grader.commands.report.handover', 'journey', "Write what a journey changed, for a carrier or insurer."
    ),
    'purchase': CommandPlace(
        'grader.commands.report.handover', 'purchase', "Write how a piece that arrived differs from its listing."
    ),
    'schedule': CommandPlace(
        'grader.commands.report.schedule', 'schedule', "Write a list of the collection with values, for the insurer."
    ),
}

COMMANDS: dict[str, CommandPlace | GroupPlace] = {
    'card': CommandPlace('grader.commands.card', 'card', "Write the calibration card as a PDF page to print."),
    'examine': CommandPlace('grader.commands.examine', 'examine', "Examine the photos of one piece."),
    'compare': CommandPlace('grader.commands.compare', 'compare', "Compare a piece before and after."),
    'check': CommandPlace('grader.commands.check', 'check', "Tell whether photos are good enough to be examined."),
    'batch': CommandPlace('grader.commands.batch', 'batch', "Examine each photo of a folder by itself."),
    'study': CommandPlace('grader.commands.study', 'study', "Tell how well photos of the same pieces repeat."),
    'marks': CommandPlace('grader.commands.marks', 'marks', "Find marks on close-up photos of glass."),
    'calibrate': CommandPlace('grader.commands.calibrate', 'calibrate', "Learn a camera from photos of the card."),
    'show': CommandPlace('grader.commands.show', 'show', "Print the short table of a record again."),
    'review': CommandPlace('grader.commands.review', 'review', "Have the last word on each mark of a record."),
    'seal': CommandPlace('grader.commands.seal', 'seal', "Seal examinations, so that each later change is found."),
    'verify': CommandPlace('grader.commands.verify', 'verify', "Check a sealed bag, or a folder of sealed bags."),
    'timestamp': CommandPlace(
        'grader.commands.timestamp', 'timestamp', "Prepare a time stamp for a sealed bag, and attach the reply."
    ),
    'collection': GroupPlace(
        "Keep a collection: its pieces, their descriptions and examinations.", COLLECTION_COMMANDS
    ),
    'history': CommandPlace('grader.commands.history', 'history', "Tell how a piece's examinations changed over time."),
    'report': GroupPlace("Write a report to hand over, as PDF and as HTML page.", REPORT_COMMANDS),
    'serve': CommandPlace(
        'grader.web.command', 'serve', "Open the page: the whole job in a browser, on this computer."
    ),
    'demo': CommandPlace('grader.commands.demo', 'demo', "Examine the shipped photos of an invented piece."),
}


class CommandsOnDemand(TyperGroup):
    """Group that loads a command only when it is asked for, so that help comes at once."""

    places: Mapping[str, CommandPlace | GroupPlace] = COMMANDS

    def list_commands(self, ctx: Any) -> list[str]:
        """Names in the order of their use."""
        return list(self.places)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command, or None where there is none of this name."""
        place = self.places.get(cmd_name)
        if place is None:
            return None
        if isinstance(place, GroupPlace):
            return typer.main.get_group(_new_app(cmd_name, place.summary, _on_demand(place)))
        single = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
        single.command(cmd_name)(at_the_edge(place.load()))
        return typer.main.get_command(single)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the list of commands into the help text."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, place.summary) for name, place in self.places.items()])


def _on_demand(place: GroupPlace) -> type[CommandsOnDemand]:
    """Kind of group that holds a command's own commands."""
    return type('GroupOnDemand', (CommandsOnDemand,), {'places': place.commands})


def _new_app(name: str, summary: str, group: type[CommandsOnDemand]) -> typer.Typer:
    return typer.Typer(
        name=name,
        cls=group,
        help=summary,
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )


app = _new_app(
    'grader',
    "Condition grader for art-glass paperweights: photos in, a record with size, marks and grade out.",
    CommandsOnDemand,
)


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
    for name in _THREAD_SETTINGS:
        os.environ.setdefault(name, '1')
    app(prog_name='grader')
