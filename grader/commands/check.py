"""``grader check``: whether photos are good enough, before any mark is looked for."""

import json
from typing import Annotated

import typer

from grader.checking import CheckResult, check_photos
from grader.commands.options import CardScale, PhotoPaths, Profile, RequireCard, Verbose, settings_from
from grader.exit_codes import ExitCode
from grader.progress import progress_for
from grader.report.check_table import faulty_table, quality_table, views_table


def check(
    photos: PhotoPaths,
    as_json: Annotated[bool, typer.Option('--json', help="Print numbers for programs instead of the table.")] = False,
    require_card: RequireCard = False,
    card_scale_mm: CardScale = None,
    profile: Profile = None,
    verbose: Verbose = False,
) -> None:
    """Tell whether photos are good enough to be examined.

    Says of each what it can show and how to take it again; no mark is looked for.
    """
    result = check_photos(photos, settings_from(require_card, card_scale_mm, None, profile), progress_for())
    if as_json:
        fields = result.model_dump(mode='json', exclude_none=True)
        typer.echo(json.dumps(fields, sort_keys=True, indent=1, ensure_ascii=False))
    else:
        typer.echo(check_words(result))
    if not result.n_usable:
        raise typer.Exit(int(ExitCode.NO_PHOTO_USABLE))


def check_words(result: CheckResult) -> str:
    """All tables of a check, and for several photos how many are usable."""
    tables = [
        quality_table(one.photo, one.quality)
        if one.quality is not None
        else faulty_table(one.photo, one.problem, one.remedy)
        for one in result.photos
    ]
    if result.views:
        tables.append(views_table([(one.view, one.there, one.advice) for one in result.views]))
        tables.append(f"{result.n_usable} of {len(result.photos)} photos are usable.")
    return '\n\n'.join(tables)
