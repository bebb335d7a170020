"""Arguments and options that several commands share, and settings made from them."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from pydantic import ValidationError

from grader.errors import SettingsInvalid
from grader.settings import CardSettings, SetSettings, Settings, SizeSettings, read_profile

PhotoPaths = Annotated[
    list[Path],
    typer.Argument(metavar='PHOTO...', help="Photo files: JPEG, PNG, TIFF, HEIC or WebP. They are never changed."),
]
Verbose = Annotated[bool, typer.Option('--verbose', help="Tell each step, and the traceback of a fault.")]
Force = Annotated[bool, typer.Option('--force', help="Replace results that are there already; photos never are.")]
RequireCard = Annotated[
    bool, typer.Option('--require-card', help="Take a photo without a calibration card for an error.")
]
CardScale = Annotated[
    float | None,
    typer.Option(
        '--card-scale-mm',
        metavar='MM',
        help="Length of the card's printed 100 mm ruler, measured with your own ruler or caliper.",
    ),
]
Height = Annotated[
    float | None,
    typer.Option('--height-mm', metavar='MM', help="Height of the piece, if you measured it: makes the width surer."),
]
Profile = Annotated[
    Path | None,
    typer.Option('--profile', metavar='FILE', help="Camera profile that \"grader calibrate\" wrote."),
]
Wiped = Annotated[
    list[Path] | None,
    typer.Option(
        '--wiped',
        metavar='PHOTO',
        help="One of the photos that was taken after you wiped the glass; may be given several times. "
        "What vanished by wiping was dust.",
    ),
]
Base = Annotated[
    list[Path] | None,
    typer.Option(
        '--base',
        metavar='PHOTO',
        help="One of the photos that shows the base of the upturned piece; may be given several times.",
    ),
]
When = Annotated[
    str,
    typer.Option(
        '--when',
        metavar='TIME',
        help="Date and time to state in the record, such as 2026-03-10T10:09. Without it the record states none.",
    ),
]

_OPTION_OF = {'measured_ruler_mm': '--card-scale-mm', 'height_mm': '--height-mm'}


def settings_from(
    require_card: bool = False,
    card_scale_mm: float | None = None,
    height_mm: float | None = None,
    profile: Path | None = None,
    wiped: Sequence[Path] = (),
    base: Sequence[Path] = (),
) -> Settings:
    """Settings of a run from the command line; what is not given keeps its default.

    Raises
    ------
    SettingsInvalid
        If a value cannot be used.
    """
    try:
        settings = Settings(
            card=CardSettings(
                required=require_card,
                measured_ruler_mm=card_scale_mm,
                profile=None if profile is None else read_profile(profile),
            ),
            size=SizeSettings(height_mm=height_mm),
            sets=SetSettings(
                wiped=tuple(sorted({path.name for path in wiped})), base=tuple(sorted({path.name for path in base}))
            ),
        )
    except ValidationError as err:
        first = err.errors()[0]
        raise SettingsInvalid(
            f"{_OPTION_OF[str(first['loc'][-1])]} {first['input']}: the input {_needed(first['msg'])}.",
            "Give the length in millimetres.",
        ) from err
    _ = settings.card.print_scale  # an impossible ruler is told before the photos are read
    return settings


def check_given(option: str, named: Sequence[Path], photos: Sequence[Path]) -> None:
    """Check that the photos named behind an option are among those to be examined.

    Raises
    ------
    SettingsInvalid
        If one is not.
    """
    given = {path.resolve() for path in photos}
    for path in named:
        if path.resolve() not in given:
            raise SettingsInvalid(
                f"{option}: {path} is not among the photos to examine.",
                f"Give the photo twice: among the photos, and behind {option}.",
            )


def time_from(text: str) -> datetime | None:
    """Time that the user gave, or None where there is none.

    Raises
    ------
    SettingsInvalid
        If the text is no time.
    """
    if not text:
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError as err:
        raise SettingsInvalid(
            f"--when: \"{text}\" is not a date and time.",
            "Give it as 2026-03-10T10:09, with +02:00 behind it for a zone.",
        ) from err


def _needed(message: str) -> str:
    return message.removeprefix("Input ")
