"""``grader card``: the calibration card as a page to print."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from calib.card import load_card
from calib.print_card import write_card_pdf
from grader.commands.options import Force, Verbose
from grader.output import new_file


class CardName(StrEnum):
    """Cards that can be printed."""

    FRAME = 'frame'
    POCKET = 'pocket'


class PaperName(StrEnum):
    """Papers that a card can be printed on."""

    A4 = 'a4'
    LETTER = 'letter'


def card(
    out: Annotated[Path, typer.Option('--out', metavar='FILE', help="PDF file to write.")],
    card_name: Annotated[
        CardName,
        typer.Option('--card', help="The frame goes round the piece; the pocket card is laid beside it."),
    ] = CardName.FRAME,
    paper: Annotated[PaperName, typer.Option('--paper', help="Paper in your printer.")] = PaperName.A4,
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Write the calibration card as a PDF page to print.

    Print it at 100 % (true size) and measure its ruler.
    """
    with new_file(out, force=force) as work:
        write_card_pdf(load_card(card_name.value), paper.value, work)
    typer.echo(f"Card: {out}")
    typer.echo("Print it at 100 % (\"actual size\"), then measure its 100 mm ruler.")
    typer.echo("If the ruler is not 100 mm long, give its length with --card-scale-mm when you examine photos.")
