"""The photos that a record or a comparison names."""

from pathlib import PurePosixPath

from grader.comparison import COMPARISON_FILE
from grader.record import PhotoFacts, record_from_bytes

RECORD_NAME = 'record.json'
COMPARISON_NAME = 'comparison.json'


def photos_named_in(data: bytes, path: str) -> tuple[PhotoFacts, ...]:
    """Photos of a record, or of both sides of a comparison; which of them it is, the file's name tells.

    Raises
    ------
    RecordUnreadable
        If the bytes are no such file, or of a version that this program does not know.
    """
    if PurePosixPath(path).name == RECORD_NAME:
        return record_from_bytes(data, path).photos
    comparison = COMPARISON_FILE.from_bytes(data, path)
    return tuple(one.photo for side in (comparison.before, comparison.after) for one in side.photos)
