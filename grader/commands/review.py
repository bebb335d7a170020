"""``grader review``: the person has the last word on each mark."""

from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Annotated

import typer
from PIL import Image

from grader.commands.options import Force, Verbose
from grader.commands.printable import printable
from grader.commands.review_note import noted
from grader.commands.review_picture import reviewed_picture
from grader.commands.review_store import record_at, review_of
from grader.commands.review_wishes import DrawingOptions, statement_of, wishes_from_file, wishes_from_words
from grader.constants import MARKED_JPEG_QUALITY
from grader.errors import SettingsInvalid
from grader.output import check_new_file, new_file
from grader.report.review_table import format_review


def review(
    record: Annotated[Path, typer.Argument(metavar='RECORD', help="A record.json that \"grader examine\" wrote.")],
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar='ACTION',
            help="list (as without any); confirm N...; reject N...; relabel N KIND; redraw N; add KIND; undo [ENTRY].",
        ),
    ] = None,
    initials: Annotated[str, typer.Option('--initials', metavar='AB', help="Who says it.")] = '',
    reason: Annotated[str, typer.Option('--reason', metavar='TEXT', help="Why, such as \"felt with a probe\".")] = '',
    when: Annotated[
        str,
        typer.Option(
            '--when', metavar='TIME', help="When, such as 2026-03-10T10:09; else the computer's clock, marked as such."
        ),
    ] = '',
    polygon: Annotated[
        str, typer.Option('--polygon', metavar='POINTS', help="Outline of the mark, \"X,Y X,Y X,Y\", in photo pixels.")
    ] = '',
    line: Annotated[
        str, typer.Option('--line', metavar='POINTS', help="Middle line of a scratch, \"X,Y X,Y\", in photo pixels.")
    ] = '',
    width_mm: Annotated[
        float | None, typer.Option('--width-mm', metavar='MM', help="Width of the line, if you measured it.")
    ] = None,
    photo: Annotated[
        str, typer.Option('--photo', metavar='NAME', help="Photo that the drawing, or the picture, is of.")
    ] = '',
    photos: Annotated[
        list[Path] | None,
        typer.Option('--photos', metavar='DIR', help="Folder with the original photos, if they lie elsewhere."),
    ] = None,
    actions: Annotated[
        Path | None, typer.Option('--actions', metavar='FILE', help="JSON file with a list of acts; all or none.")
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option('--picture', metavar='FILE', help="Write the annotated picture (JPEG) with the review."),
    ] = None,
    review_file: Annotated[
        Path | None,
        typer.Option('--review', metavar='FILE', help="File of the review; usually review.json beside the record."),
    ] = None,
    as_json: Annotated[bool, typer.Option('--json', help="Print the review as JSON.")] = False,
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Have the last word on each mark of a record.

    Confirm, reject, relabel, redraw or add marks; the record itself stays as it is.
    """
    at_hand = record_at(record, review_file)
    if picture is not None:
        check_new_file(picture, force=force)
    drawn = DrawingOptions(polygon, line, photo if words and words[0] in ('redraw', 'add') else '', width_mm)
    if actions is not None and words:
        raise SettingsInvalid("An action and --actions were both given.", "Give one of them.")
    wishes = wishes_from_words(words or (), drawn) if actions is None else wishes_from_file(actions)
    now = datetime.now().astimezone()
    statements = [statement_of(wish, initials, reason, when, now) for wish in wishes]
    done = (
        noted(at_hand, wishes, statements, photos or (), partial(typer.echo, err=True))
        if wishes
        else review_of(at_hand)
    )
    if as_json:
        typer.echo(done.to_json(), nl=False)
    else:
        typer.echo(printable(format_review(done, done.result)), nl=False)
    if picture is not None:
        rgb = reviewed_picture(at_hand, done, photo, photos or ())
        with new_file(picture, force=force, keep=[record, at_hand.review_path]) as work:
            Image.fromarray(rgb).save(work, 'JPEG', quality=MARKED_JPEG_QUALITY, subsampling=0)
        typer.echo(f"Picture:  {picture}", err=as_json)
