"""Options of all reports, and writing a report."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from calib.constants import PAPER_SIZES_MM
from grader.commands.options import time_from
from grader.documents.blocks import Document
from grader.documents.html_write import html_of
from grader.documents.identity import document_number
from grader.documents.pdf_write import pdf_of
from grader.errors import SettingsInvalid
from grader.output import check_new_file, new_file

PdfOption = Annotated[Path, typer.Option('--out', metavar='FILE.pdf', help="PDF file to write.")]
HtmlOption = Annotated[
    Path | None,
    typer.Option('--html', metavar='FILE.html', help="Also write it as one HTML page, for any browser."),
]
PaperOption = Annotated[
    str, typer.Option('--paper', metavar='PAPER', help=f"Paper size: {' or '.join(PAPER_SIZES_MM)}.")
]
PhotosOption = Annotated[
    list[Path] | None,
    typer.Option('--photos', metavar='DIR', help="Folder with the original photos; may be given several times."),
]
PieceOption = Annotated[
    Path | None,
    typer.Option('--piece', metavar='DIR', help="Folder of the piece in a collection: its title, maker and so on."),
]
WhenOption = Annotated[
    str,
    typer.Option(
        '--when', metavar='TIME', help="Date and time to state in the report. Without it that of the record, if any."
    ),
]


def check_wanted(out: Path, html: Path | None, paper: str, when: str, *, force: bool, keep: Sequence[Path]) -> str:
    """Complain early of what could not be written; return the time to state, ISO 8601, '' for none.

    Raises
    ------
    SettingsInvalid
        If paper or time do not fit, or both files have one name.
    OutputNotWritable
        If a file is there already.
    """
    if paper not in PAPER_SIZES_MM:
        raise SettingsInvalid(
            f"--paper {paper}: this paper is not known.", f"Papers are {' and '.join(PAPER_SIZES_MM)}."
        )
    now = time_from(when)
    if html is not None and html.resolve() == out.resolve():
        raise SettingsInvalid(f"--html {html}: the PDF has this name already.", "Give the page a name of its own.")
    for path in (out, *([html] if html is not None else [])):
        check_new_file(path, force=force, keep=keep)
    return "" if now is None else now.isoformat()


def write_report(
    document: Document, out: Path, html: Path | None, paper: str, *, force: bool, keep: Sequence[Path]
) -> None:
    """Write a document, and tell where it lies."""
    with new_file(out, force=force, keep=keep) as work:
        work.write_bytes(pdf_of(document, paper))
    typer.echo(f"Report:  {out}")
    if html is not None:
        with new_file(html, force=force, keep=keep) as work:
            work.write_text(html_of(document), encoding='utf-8')
        typer.echo(f"Page:    {html}")
    typer.echo(f"Number:  {document_number(document)}")
