"""``grader compare``: two sides in, whether they show one piece and what changed out."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer
from PIL import Image

from grader.commands.batch import photos_in
from grader.commands.options import Base, Force, Height, Verbose, When, Wiped, check_given, settings_from, time_from
from grader.commands.results import RECORD_NAME
from grader.compare.sides import Side
from grader.compare.stated_size import read_stated_size
from grader.compare_sides import compare_sides
from grader.comparison_build import Compared
from grader.constants import MARKED_JPEG_QUALITY
from grader.errors import SettingsInvalid
from grader.exit_codes import ExitCode
from grader.output import check_new_folder, new_folder
from grader.progress import progress_for
from grader.report.compare_page import comparison_page
from grader.report.compare_picture import draw_comparison
from grader.report.compare_table import format_comparison
from grader.report.page_pictures import PICTURES_FILE, PICTURES_FOLDER, draw_pictures
from grader.side_photos import SideGiven, side_of_record

COMPARISON_NAME = 'comparison.json'
PICTURE_NAME = 'comparison.jpg'
PAGE_NAME = 'comparison.html'

SIDE_HELP = "A photo, a folder of photos, or a record.json that \"grader examine\" wrote."


def compare(
    before: Annotated[Path, typer.Argument(metavar='BEFORE', help=f"The earlier side. {SIDE_HELP}")],
    after: Annotated[Path, typer.Argument(metavar='AFTER', help="The later side, likewise.")],
    out: Annotated[
        Path | None,
        typer.Option('--out', metavar='DIR', help="New folder for the comparison, its picture and its page."),
    ] = None,
    more_before: Annotated[
        list[Path] | None,
        typer.Option('--more-before', metavar='PHOTO', help="A further earlier photo; may be given several times."),
    ] = None,
    more_after: Annotated[
        list[Path] | None,
        typer.Option('--more-after', metavar='PHOTO', help="A further later photo; may be given several times."),
    ] = None,
    photos: Annotated[
        list[Path] | None,
        typer.Option('--photos', metavar='DIR', help="Where the photos of a record lie; may be given several times."),
    ] = None,
    stated_size: Annotated[
        list[str] | None,
        typer.Option(
            '--stated-size',
            metavar='SIZE',
            help="Size that the seller states, such as \"75 mm\", \"2 3/4 in\" or \"height 60 mm\".",
        ),
    ] = None,
    exit_code: Annotated[
        bool, typer.Option('--exit-code', help="End with exit code 20 where there is new damage.")
    ] = False,
    as_json: Annotated[bool, typer.Option('--json', help="Print the comparison instead of the table.")] = False,
    card_scale_before_mm: Annotated[
        float | None,
        typer.Option('--card-scale-before-mm', metavar='MM', help="Measured ruler of the card in the earlier photos."),
    ] = None,
    card_scale_after_mm: Annotated[
        float | None,
        typer.Option('--card-scale-after-mm', metavar='MM', help="Measured ruler of the card in the later photos."),
    ] = None,
    height_mm: Height = None,
    profile_before: Annotated[
        Path | None, typer.Option('--profile-before', metavar='FILE', help="Profile of the earlier photos' camera.")
    ] = None,
    profile_after: Annotated[
        Path | None, typer.Option('--profile-after', metavar='FILE', help="Profile of the later photos' camera.")
    ] = None,
    wiped: Wiped = None,
    base: Base = None,
    when: When = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Compare a piece before and after.

    Says whether both sides show the same piece, what is new, and what the earlier side could have shown.
    """
    stated = [read_stated_size(text) for text in stated_size or ()]
    now = time_from(when)
    if out is not None:
        check_new_folder(out, force=force)
    told = Told(height_mm, tuple(wiped or ()), tuple(base or ()), tuple(photos or ()))
    sides = (
        side_given('before', before, more_before or (), card_scale_before_mm, profile_before, told),
        side_given('after', after, more_after or (), card_scale_after_mm, profile_after, told),
    )
    given = [path for side in sides for path in side.paths]
    check_given('--wiped', told.wiped, given)
    check_given('--base', told.base, given)
    compared = compare_sides(*sides, stated, now=now, progress=progress_for())
    comparison = compared.comparison
    if out is not None:
        with new_folder(out, force=force, keep=given) as work:
            write_comparison(compared, work)
    typer.echo(comparison.to_json() if as_json else format_comparison(comparison), nl=not as_json)
    if not as_json:
        tell_places(out)
    if exit_code and comparison.has_new_damage:
        raise typer.Exit(int(ExitCode.NEW_DAMAGE))


@dataclass(frozen=True, slots=True)
class Told:
    """What the user says of the photos of either side."""

    height_mm: float | None
    """Height of the piece."""
    wiped: tuple[Path, ...]
    """Photos after wiping."""
    base: tuple[Path, ...]
    """Photos of the base."""
    folders: tuple[Path, ...]
    """Where photos of records lie."""


def side_given(
    side: Side,
    path: Path,
    more: Sequence[Path],
    card_scale_mm: float | None,
    profile: Path | None,
    told: Told,
) -> SideGiven:
    """One side from what was given for it: a photo, a folder of photos, or a record.

    Raises
    ------
    SettingsInvalid
        If something is said of a record, which has its own settings.
    """
    record = path / RECORD_NAME if (path / RECORD_NAME).is_file() else path
    if record.suffix.lower() == '.json':
        _check_alone(side, path, more, card_scale_mm, profile)
        return side_of_record(side, record, told.folders)
    paths = (*(photos_in(path) if path.is_dir() else (path,)), *more)
    mine = {one.resolve() for one in paths}
    wiped, base = ([one for one in named if one.resolve() in mine] for named in (told.wiped, told.base))
    settings = settings_from(False, card_scale_mm, told.height_mm, profile, wiped, base)
    return SideGiven(side, paths, settings)


def _check_alone(
    side: Side, path: Path, more: Sequence[Path], card_scale_mm: float | None, profile: Path | None
) -> None:
    """Check that nothing is said of a record's side that the record says itself."""
    said = [
        option
        for option, value in (
            (f'--more-{side}', more or None),
            (f'--card-scale-{side}-mm', card_scale_mm),
            (f'--profile-{side}', profile),
        )
        if value is not None
    ]
    if said:
        raise SettingsInvalid(
            f"{said[0]}: {path.name} is a record, and its photos are examined with its own settings.",
            f"Leave {said[0]} out, or give the photos themselves.",
        )


def write_comparison(compared: Compared, folder: Path) -> None:
    """Write comparison, picture, page and the page's pictures into a folder."""
    (folder / COMPARISON_NAME).write_text(compared.comparison.to_json(), encoding='utf-8')
    picture = Image.fromarray(draw_comparison(compared))
    # Full colour resolution: thin coloured lines would fade at half.
    picture.save(folder / PICTURE_NAME, 'JPEG', quality=MARKED_JPEG_QUALITY, subsampling=0)
    drawn = draw_pictures(compared)
    (folder / PAGE_NAME).write_text(comparison_page(compared, drawn), encoding='utf-8')
    (folder / PICTURES_FOLDER).mkdir()
    (folder / PICTURES_FOLDER / PICTURES_FILE).write_text(drawn.facts.to_json(), encoding='utf-8')
    for name, jpeg in drawn.jpegs.items():
        (folder / PICTURES_FOLDER / name).write_bytes(jpeg)


def tell_places(out: Path | None) -> None:
    """Print where the results lie, or that there are none on the disk."""
    if out is None:
        typer.echo("Nothing was written. Add --out DIR for the comparison, its picture and its page.")
        return
    typer.echo(f"Comparison:  {out / COMPARISON_NAME}")
    typer.echo(f"Picture:     {out / PICTURE_NAME}")
    typer.echo(f"Page:        {out / PAGE_NAME}")
