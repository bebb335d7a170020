"""The few Exif fields that the grader uses. Exif comes from outside: any field may be missing, wrong or hostile."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from PIL import Image

from grader.constants import F35_RANGE_MM
from grader.photos.pixels import DECODER_FAULTS

# Exif 2.32 tag numbers.
_ORIENTATION = 0x0112
_MAKE, _MODEL = 0x010F, 0x0110
_EXIF_IFD = 0x8769
_TIME_ORIGINAL, _OFFSET_ORIGINAL = 0x9003, 0x9011
_F35 = 0xA405
_WIDTH, _HEIGHT = 0xA002, 0xA003

_LONGEST_TEXT = 100


@dataclass(frozen=True, slots=True)
class ExifFields:
    """What the camera wrote beside the pixels."""

    orientation: int
    """1 to 8, as stored; 1 where none is given."""
    f35_mm: float | None
    """35 mm-equivalent focal length, or None where the camera gives none."""
    taken_at: str
    """'YYYY-MM-DD HH:MM:SS', with '+HH:MM' behind it where the camera knew its zone; '' where there is no time."""
    camera: str
    """Make and model; '' where none is given."""
    stored_size_px: tuple[int, int]
    """Width and height that the camera noted; (0, 0) where none is given."""


def read_exif(image: Image.Image) -> ExifFields:
    """Exif fields of a picture, with a plain default for each that is missing or makes no sense."""
    tags, camera_tags = _tag_tables(image)
    return ExifFields(
        orientation=_orientation(tags.get(_ORIENTATION)),
        f35_mm=_f35_mm(camera_tags.get(_F35)),
        taken_at=_time(camera_tags.get(_TIME_ORIGINAL), camera_tags.get(_OFFSET_ORIGINAL)),
        camera=_camera(_text(tags.get(_MAKE)), _text(tags.get(_MODEL))),
        stored_size_px=(_count(camera_tags.get(_WIDTH)), _count(camera_tags.get(_HEIGHT))),
    )


def _tag_tables(image: Image.Image) -> tuple[dict[int, Any], dict[int, Any]]:
    try:
        exif = image.getexif()
        return dict(exif), dict(exif.get_ifd(_EXIF_IFD))
    except DECODER_FAULTS:
        # The photo is fine without it.
        return {}, {}


def _orientation(value: object) -> int:
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def _f35_mm(value: object) -> float | None:
    if not isinstance(value, int | float | Fraction):
        return None
    low, high = F35_RANGE_MM
    f35_mm = float(value)
    return f35_mm if low <= f35_mm <= high else None


def _time(moment: object, offset: object) -> str:
    date, _, clock = _text(moment).partition(' ')
    if len(date) != 10 or len(clock) != 8 or not (date + clock).replace(':', '').isdigit():
        return ''
    zone = _text(offset)
    return f'{date.replace(":", "-")} {clock}{zone if len(zone) == 6 else ""}'


def _camera(make: str, model: str) -> str:
    return model if model.startswith(make) else f'{make} {model}'.strip()


def _text(value: object) -> str:
    """Printable start of an Exif text, without the padding that cameras leave behind."""
    if not isinstance(value, str):
        return ''
    return ''.join(c for c in value[:_LONGEST_TEXT] if c.isprintable()).strip()


def _count(value: object) -> int:
    return value if isinstance(value, int) and value > 0 else 0
