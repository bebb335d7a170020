"""``grader marks``: marks on close-ups, without card and without dome."""

import json
import logging
from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Force, PhotoPaths, Verbose
from grader.errors import PhotoSetUnusable
from grader.marks.close_up import CloseUpMark, find_close_up_marks, find_marks_in_two_lights, may_be_one_field
from grader.opencv_pin import pin_opencv
from grader.output import check_new_file, new_file
from grader.photos.load import Photo, load_photo
from grader.progress import progress_for
from grader.settings import PhotoLimits

_log = logging.getLogger(__name__)
_TWO_LIGHTS = 2


def marks(
    photos: PhotoPaths,
    out: Annotated[Path, typer.Option('--out', metavar='FILE', help="List of marks to write, a JSON file.")],
    same_field: Annotated[
        bool,
        typer.Option('--same-field', help="The two photos show one field from one place, in two lights: join them."),
    ] = False,
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Find marks on close-up photos of glass.

    No card is needed, and nothing is measured in millimetres. Two photos of the same name in different folders show
    one field in two lights (from the front and from behind), and make one list.
    """
    check_new_file(out, force=force, keep=photos)
    pin_opencv()
    fields = fields_of(photos, same_field=same_field)
    limits = PhotoLimits()
    progress = progress_for()
    rows: list[dict[str, object]] = []
    progress.start(len(photos))
    try:
        for paths in fields:
            rows += field_rows([load_photo(path, limits) for path in paths], paths)
            for path in paths:
                progress.step(path.name)
    finally:
        progress.finish()
    with new_file(out, force=force, keep=photos) as work:
        work.write_text(json.dumps(rows, indent=1, sort_keys=True, ensure_ascii=False) + '\n', encoding='utf-8')
    typer.echo(f"{len(rows)} mark(s) in {len(photos)} photo(s): {out}")


def fields_of(paths: Iterable[Path], *, same_field: bool = False) -> list[list[Path]]:
    """Photos grouped by the field they show, one or two each, in the order given.

    Raises
    ------
    PhotoSetUnusable
        More than two photos are said to show one field, or not two are where the user says so.
    """
    given = list(paths)
    if same_field:
        if len(given) != _TWO_LIGHTS:
            raise PhotoSetUnusable(
                f"{len(given)} photo(s) are given, and --same-field joins exactly two.",
                "Give the two photos of one field, or leave --same-field out.",
            )
        return [given]
    named: dict[str, list[Path]] = {}
    for path in given:
        named.setdefault(path.name, []).append(path)
    for name, alike in named.items():
        if len(alike) > _TWO_LIGHTS:
            raise PhotoSetUnusable(
                f"{name}: {len(alike)} photos have this name, and a field is looked at in two lights at most.",
                "Give two photos of one name at a time, or give the others another name.",
            )
    return list(named.values())


def field_rows(photos: list[Photo], paths: list[Path]) -> list[dict[str, object]]:
    """Marks of one field, photographed in one light or two, as rows of the JSON list."""
    first, *more = photos
    if not more:
        return [_row(first, mark, [first.name]) for mark in find_close_up_marks(first.rgb)]
    other = more[0]
    if not may_be_one_field(first.rgb, other.rgb):
        _log.warning("%s: the two photos differ in shape, so each is looked at alone", first.name)
        return [_row(p, mark, [p.name]) for p in photos for mark in find_close_up_marks(p.rgb)]
    names = [p.name for p in photos] if first.name != other.name else [f'{p.parent.name}/{p.name}' for p in paths]
    return [
        _row(
            first, seen.mark, [name for name, there in zip(names, (seen.in_first, seen.in_other), strict=True) if there]
        )
        for seen in find_marks_in_two_lights(first.rgb, other.rgb)
    ]


def _row(photo: Photo, mark: CloseUpMark, seen_in: list[str]) -> dict[str, object]:
    """One mark as a row; the outline is in px of `photo`."""
    return {
        'photo': photo.name,
        'kind': str(mark.kind),
        'could_be': [str(kind) for kind in mark.kind.could_be],
        'polygon_px': [[round(float(x), 2), round(float(y), 2)] for x, y in mark.polygon_px],
        'confidence': round(float(mark.confidence), 9),
        'length_px': round(float(mark.length_px), 1),
        'width_px': round(float(mark.width_px), 1),
        'seen_in': seen_in,
    }
