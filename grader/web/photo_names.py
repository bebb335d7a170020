"""Names of photos that were sent: hostile as they come, portable and used once as they are stored."""

import re
from collections.abc import Sequence
from pathlib import PurePosixPath

from grader.evidence.names import portable_name, portable_names
from grader.photos.load import PHOTO_SUFFIXES

_NAMELESS = 'photo'
_SUFFIX_OF_FORMAT = {'JPEG': '.jpg', 'PNG': '.png', 'TIFF': '.tif', 'HEIF': '.heic', 'WEBP': '.webp'}


def safe_name(sent: str) -> str:
    """Name of a file as it was sent, without folders, such that any disk takes it."""
    last = re.split(r'[/\\]', sent)[-1]
    name = portable_name(last)
    return f'{_NAMELESS}{name}' if name.startswith('.') or name == '_' else name


def free_name(name: str, file_format: str, taken: Sequence[str]) -> str:
    """Name for a photo of a format beside others: with the ending of a photo, and not theirs in any letter case."""
    suffix = PurePosixPath(name).suffix
    wanted = name if suffix.lower() in PHOTO_SUFFIXES else f'{name}{_SUFFIX_OF_FORMAT[file_format]}'
    return portable_names([*taken, wanted])[-1]
