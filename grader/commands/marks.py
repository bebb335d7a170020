"""``grader marks``: marks on close-ups, without card and without dome."""

import json
from pathlib import Path
from typing import Annotated

import typer

from grader.commands.options import Force, PhotoPaths, Verbose
from grader.marks.close_up import find_close_up_marks
from grader.opencv_pin import pin_opencv
from grader.output import check_new_file, new_file
from grader.photos.load import load_photo
from grader.progress import progress_for
from grader.settings import PhotoLimits


def marks(
    photos: PhotoPaths,
    out: Annotated[Path, typer.Option('--out', metavar='FILE', help="List of marks to write, a JSON file.")],
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Find marks on close-up photos of glass.

    No card is needed, and nothing is measured in millimetres.
    """
    check_new_file(out, force=force, keep=photos)
    pin_opencv()
    limits = PhotoLimits()
    progress = progress_for()
    rows: list[dict[str, object]] = []
    progress.start(len(photos))
    try:
        for path in photos:
            rows += close_up_rows(path, limits)
            progress.step(path.name)
    finally:
        progress.finish()
    with new_file(out, force=force, keep=photos) as work:
        work.write_text(json.dumps(rows, indent=1, sort_keys=True, ensure_ascii=False) + '\n', encoding='utf-8')
    typer.echo(f"{len(rows)} mark(s) in {len(photos)} photo(s): {out}")


def close_up_rows(path: Path, limits: PhotoLimits) -> list[dict[str, object]]:
    """Marks of one close-up as rows of the JSON list."""
    photo = load_photo(path, limits)
    return [
        {
            'photo': photo.name,
            'kind': str(mark.kind),
            'polygon_px': [[round(float(x), 2), round(float(y), 2)] for x, y in mark.polygon_px],
            'confidence': round(float(mark.confidence), 4),
        }
        for mark in find_close_up_marks(photo.rgb)
    ]
