"""``grader calibrate``: a camera's own profile from several photos of the card."""

from pathlib import Path
from typing import Annotated

import typer

from calib import calibrate as calibration
from grader.commands.options import CardScale, Force, PhotoPaths, Verbose, settings_from
from grader.opencv_pin import pin_opencv
from grader.output import check_new_file, new_file
from grader.photos.load import load_photo


def calibrate(
    photos: PhotoPaths,
    out: Annotated[Path, typer.Option('--out', metavar='FILE', help="Profile to write, a JSON file.")],
    card_scale_mm: CardScale = None,
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Learn a camera from photos of the card.

    Take several from different directions, all at one zoom setting. The profile makes lengths surer.
    """
    check_new_file(out, force=force, keep=photos)
    settings = settings_from(card_scale_mm=card_scale_mm)
    pin_opencv()
    loaded = [load_photo(path, settings.photos) for path in photos]
    profile = calibration.calibrate(loaded, print_scale=settings.card.print_scale)
    with new_file(out, force=force, keep=photos) as work:
        work.write_text(profile.model_dump_json(indent=1) + '\n', encoding='utf-8')
    typer.echo(f"Profile: {out}")
    typer.echo(
        f"Focal length {profile.focal_px:.1f} px ± {2 * profile.u_focal_px:.1f} px (k = 2), "
        f"distortion k1 = {profile.k1:.4f}, from {profile.n_views} photos."
    )
    typer.echo("Use it with --profile for photos of the same camera at the same zoom.")
