"""Files that a report is made from: found by their hash, and read once."""

from collections.abc import Sequence
from pathlib import Path

from grader.errors import PhotoSetUnusable, RecordUnreadable
from grader.evidence.packing import find_photos
from grader.photos.load import Photo, load_photo
from grader.record import PhotoFacts
from grader.settings import PhotoLimits


def file_bytes(path: Path, name: str) -> bytes:
    """Return the bytes of a record or of a comparison; `name` is what it is called.

    Raises
    ------
    RecordUnreadable
        If it cannot be opened.
    """
    try:
        return path.read_bytes()
    except OSError as err:
        raise RecordUnreadable(
            f"{path}: the {name} cannot be opened ({err.strerror or err}).", "Check the name and the folder."
        ) from err


def photo_files(named: Sequence[PhotoFacts], folder: Path, more: Sequence[Path]) -> list[Path]:
    """Return the file of each photo, found by its bytes, in the order in which they are named.

    Photos are looked for in the folders given, in the results' own folder and those in it, and in the one around it.

    Raises
    ------
    PhotoSetUnusable
        If one is missing or changed; all are told at once.
    """
    inside = sorted(path for path in folder.iterdir() if path.is_dir())
    # In a sealed bag the photos lie in data/photos, beside data/examination.
    beside = [folder.resolve().parent, folder.resolve().parent / 'photos']
    return find_photos(named, (*more, folder, *inside, *beside), folder)


def photos_of(paths: Sequence[Path], named: Sequence[PhotoFacts], limits: PhotoLimits) -> tuple[Photo, ...]:
    """Return the photos themselves.

    Raises
    ------
    PhotoSetUnusable
        If one was changed since it was found.
    """
    photos = tuple(load_photo(path, limits) for path in paths)
    for photo, facts in zip(photos, named, strict=True):
        if photo.sha256 != facts.sha256:
            raise PhotoSetUnusable(f"{photo.name}: the photo is being changed.", "Try again when it is at rest.")
    return photos
