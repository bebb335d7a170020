"""Whether sent files are photos at all: decoded once, in a process of its own, before they are kept."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PIL import Image

from calib.arrays import RgbImage
from calib.errors import ActionableError
from grader.photos.load import Photo, load_photo
from grader.progress import Progress
from grader.settings import PhotoLimits
from grader.web.form_parts import SentFile
from grader.web.jobs import JobFailed, Jobs
from grader.web.upload_constants import INTAKE_LIMIT_S, MAX_FILE_BYTES, PREVIEW_JPEG_QUALITY, PREVIEW_SIDE_PX

PREVIEW_NAME = 'preview.jpg'
LIMITS = PhotoLimits(max_bytes=MAX_FILE_BYTES)


@dataclass(frozen=True, slots=True)
class DecodedPhoto:
    """A sent file that is a photo."""

    path: Path
    preview: Path
    sha256: str
    n_bytes: int
    size_px: tuple[int, int]
    taken_at: str
    """Time by Exif, '' where there is none."""
    camera: str
    """Make and model by Exif, '' where there is none."""
    file_format: str


@dataclass(frozen=True, slots=True)
class RefusedFile:
    """A sent file that is not kept, and why."""

    name: str
    problem: str
    remedy: str


def decode_all(
    jobs: Jobs, files: Sequence[SentFile], back_to: str, *, limit_s: float = INTAKE_LIMIT_S
) -> list[DecodedPhoto | RefusedFile]:
    """Decode sent files in the process for that, and wait for it.

    Where one file breaks the process, each is tried by itself, and that one is refused.
    """
    found = _tried(jobs, files, back_to, limit_s)
    if found is not None:
        return found
    if len(files) == 1:
        return [_broken(files[0])]
    each = [_tried(jobs, [one], back_to, limit_s) for one in files]
    return [_broken(one) if found is None else found[0] for one, found in zip(files, each, strict=True)]


def decode_files(progress: Progress, paths: Sequence[str]) -> list[DecodedPhoto | RefusedFile]:
    """The work itself: decode each file, and write a preview beside it."""
    progress.start(len(paths))
    found: list[DecodedPhoto | RefusedFile] = []
    for path in map(Path, paths):
        try:
            found.append(_decoded(path))
        except ActionableError as err:
            found.append(RefusedFile(path.name, err.problem, err.remedy))
        progress.step(path.name)
    return found


def decode_nothing(progress: Progress) -> None:
    """Do no work; all that the work needs is loaded by now."""


def _tried(
    jobs: Jobs, files: Sequence[SentFile], back_to: str, limit_s: float
) -> list[DecodedPhoto | RefusedFile] | None:
    """What came of it; None where the process broke, or took too long."""
    token, future = jobs.submit('intake', "Open the photos", back_to, decode_files, [str(one.path) for one in files])
    try:
        result: Any = future.result(limit_s)
    except JobFailed:
        return None
    except TimeoutError:
        jobs.stop(token)
        return None
    return list(result)


def _decoded(path: Path) -> DecodedPhoto:
    photo = load_photo(path, LIMITS)
    preview = path.parent.with_name(f'{path.parent.name}-{PREVIEW_NAME}')
    write_preview(photo.rgb, preview)
    return _facts(photo, path, preview)


def write_preview(rgb: RgbImage, path: Path) -> None:
    """Write a small picture of a photo as JPEG.

    Parameters
    ----------
    rgb
        (H, W, 3) uint8.
    path
        File to write.
    """
    small = Image.fromarray(rgb)
    small.thumbnail((PREVIEW_SIDE_PX, PREVIEW_SIDE_PX))
    small.save(path, 'JPEG', quality=PREVIEW_JPEG_QUALITY)


def _facts(photo: Photo, path: Path, preview: Path) -> DecodedPhoto:
    return DecodedPhoto(
        path=path,
        preview=preview,
        sha256=photo.sha256,
        n_bytes=photo.n_bytes,
        size_px=photo.size_px,
        taken_at=photo.taken_at,
        camera=photo.camera,
        file_format=photo.file_format,
    )


def _broken(file: SentFile) -> RefusedFile:
    return RefusedFile(
        file.name,
        f"{file.name}: the picture cannot be opened: it is damaged, or needs more memory than there is.",
        "Copy it again from the camera or phone, or save it as a JPEG.",
    )
