"""Arguments and options that the commands of a collection share."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from grader.collection.money import Money, money_from
from grader.collection.piece import MONEY_FIELDS, OWNER_FIELDS
from grader.collection.place import COLLECTION_FILE, CollectionPlace, open_place
from grader.errors import CollectionNotFound, SettingsInvalid

PLACE_VARIABLE = 'GRADER_COLLECTION'

CollectionOption = Annotated[
    Path | None,
    typer.Option(
        '--collection',
        metavar='DIR',
        help=f"Folder of the collection. Without it: the one that {PLACE_VARIABLE} names, else this folder.",
    ),
]
PieceArgument = Annotated[
    str,
    typer.Argument(metavar='PIECE', help="Its id, inventory number, title, or words of its title that no other has."),
]
SetOption = Annotated[
    list[str] | None,
    typer.Option(
        '--set',
        metavar='FIELD=TEXT',
        help=f"What a field is to say; give it once for each. Fields: {', '.join(OWNER_FIELDS)}. "
        "Money is written \"1250.00 EUR\".",
    ),
]
PhotoOption = Annotated[
    list[Path] | None, typer.Option('--photo', metavar='FILE', help="A photo to copy into the piece's folder.")
]
ScaledPhotoOption = Annotated[
    list[Path] | None,
    typer.Option('--photo-with-scale', metavar='FILE', help="The same, of a photo that shows a scale or the card."),
]
JsonOption = Annotated[bool, typer.Option('--json', help="Print JSON instead of a table.")]
VerboseOption = Annotated[bool, typer.Option('--verbose', help="Tell each step, and the traceback of a fault.")]


def place_from(given: Path | None) -> CollectionPlace:
    """Collection that the command line or the environment names; which it is, is told on standard error.

    Raises
    ------
    CollectionNotFound
        If none is named, or there is none.
    """
    named = os.environ.get(PLACE_VARIABLE, '')
    if given is not None:
        root, source = given, "--collection"
    elif named:
        root, source = Path(named), PLACE_VARIABLE
    elif Path(COLLECTION_FILE).exists():
        root, source = Path.cwd(), "this folder"
    else:
        raise CollectionNotFound(
            "No collection is named.", f"Name its folder with --collection, or in the environment as {PLACE_VARIABLE}."
        )
    place = open_place(root)
    typer.echo(f"Collection: {root} ({source})", err=True)
    return place


def fields_from(settings: Sequence[str]) -> dict[str, Any]:
    """Fields of a piece from ``FIELD=TEXT``; an empty text clears a field.

    Raises
    ------
    SettingsInvalid
        If one is no field, or an amount is none.
    """
    fields: dict[str, Any] = {}
    for setting in settings:
        name, sign, text = setting.partition('=')
        name = name.strip().replace('-', '_')
        if not sign or name not in OWNER_FIELDS:
            raise SettingsInvalid(
                f"--set {setting}: \"{name}\" is not a field, or the sign = is missing.",
                f"Write FIELD=TEXT. Fields are {', '.join(OWNER_FIELDS)}.",
            )
        if name in fields:
            raise SettingsInvalid(f"--set {setting}: the field \"{name}\" is given twice.", "Give each field once.")
        fields[name] = _money(name, text) if name in MONEY_FIELDS else text
    return fields


def _money(name: str, text: str) -> Money | None:
    try:
        return money_from(text) if text.strip() else None
    except ValueError as err:
        words = err.errors()[0]['msg'].removeprefix('Value error, ') if hasattr(err, 'errors') else str(err)
        raise SettingsInvalid(f"--set {name}={text}: {words}.", "Write it as \"1250.00 EUR\".") from err
