"""Pictures of a photo for the page: reduced ones, and tiles in which each pixel is the photo's own.

A photo is decoded once, by the same function as for an examination, and its upright pixels are kept in the
collection's own folder as they are; tiles are cut out of them when they are asked for. What is kept there may be
deleted at any time.
"""

import contextlib
import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
from filelock import FileLock
from PIL import Image

from calib.arrays import RgbImage
from grader.errors import PhotoSetUnusable
from grader.photos.load import load_photo
from grader.settings import PhotoLimits
from grader.web.viewer_constants import CACHE_MOST_BYTES, JPEG_QUALITY, TILE_PX


@dataclass(frozen=True, slots=True)
class PhotoSource:
    """A photo that pictures are made of."""

    name: str
    """Name in the record."""
    sha256: str
    """Of the file's bytes."""
    size_px: tuple[int, int]
    """Width and height, upright."""
    limits: PhotoLimits
    """Limits under which it was examined."""
    find: Callable[[], Path]
    """Finds its file; called only when it has to be decoded."""


def photo_pixels(cache: Path, source: PhotoSource) -> RgbImage:
    """Upright pixels of a photo, (H, W, 3) uint8, read-only; from the cache, or decoded and put there.

    Raises
    ------
    PhotoSetUnusable
        If the photo is not found, or not as it was when it was examined.
    PhotoUnreadable
        If it cannot be decoded.
    """
    path = cache / f'{source.sha256}.npy'
    kept = _kept_pixels(path, source.size_px)
    if kept is not None:
        return kept
    try:
        cache.mkdir(parents=True, exist_ok=True)
        # Many tiles are asked for at once, and only the first request shall decode.
        with FileLock(cache / f'{source.sha256}.lock'):
            kept = _kept_pixels(path, source.size_px)
            return _decoded(source, path) if kept is None else kept
    except OSError:
        # A collection that cannot be written is shown all the same, only slower.
        return _rgb_of(source)


def reduced_jpeg(cache: Path, source: PhotoSource, most_px: int) -> bytes:
    """JPEG of a photo whose longest side is at most `most_px`; from the cache, or made and put there.

    Raises
    ------
    PhotoSetUnusable, PhotoUnreadable
        As `photo_pixels`.
    """
    path = cache / f'{source.sha256}-{most_px}.jpg'
    with contextlib.suppress(OSError):
        return path.read_bytes()
    rgb = photo_pixels(cache, source)
    data = jpeg_of(reduced(rgb, most_px))
    with contextlib.suppress(OSError):
        _put(path, lambda work: work.write_bytes(data))
    return data


def reduced(rgb: RgbImage, most_px: int) -> RgbImage:
    """Picture (H, W, 3) with a longest side of at most `most_px`; each pixel is the mean of those that it covers."""
    height, width = rgb.shape[:2]
    ratio = most_px / max(height, width)
    if ratio >= 1.0:
        return np.asarray(rgb)
    size = max(round(width * ratio), 1), max(round(height * ratio), 1)
    return np.asarray(cv2.resize(np.asarray(rgb), size, interpolation=cv2.INTER_AREA))


def jpeg_of(rgb: RgbImage) -> bytes:
    """JPEG with full colour resolution."""
    file = BytesIO()
    Image.fromarray(np.asarray(rgb)).save(file, 'JPEG', quality=JPEG_QUALITY, subsampling=0)
    return file.getvalue()


def n_levels(size_px: tuple[int, int]) -> int:
    """Levels of tiles of a photo: level 0 has its own pixels, each next one half as many a side, down to one tile."""
    longest, levels = max(size_px), 1
    while longest > TILE_PX:
        longest, levels = (longest + 1) // 2, levels + 1
    return levels


def tile_of(rgb: RgbImage, level: int, column: int, row: int) -> RgbImage | None:
    """One tile of a picture, or None where it has none there.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    level : int
        One pixel of the tile stands for 2 ** level a side; on level 0 the pixels are those of the picture.
    column, row : int
        Counted from 0 at the top left; each tile is TILE_PX wide and high, the last of a row or column less.
    """
    height, width = rgb.shape[:2]
    if not 0 <= level < n_levels((width, height)):
        return None
    step = TILE_PX << level
    if not (0 <= column * step < width and 0 <= row * step < height):
        return None
    part = np.ascontiguousarray(rgb[row * step : (row + 1) * step, column * step : (column + 1) * step])
    if level == 0:
        return part
    size = -(-part.shape[1] >> level), -(-part.shape[0] >> level)
    return np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA))


def png_of(rgb: RgbImage) -> bytes:
    """PNG, without any loss; packed little, since it goes a short way."""
    done, data = cv2.imencode('.png', rgb[..., ::-1], [cv2.IMWRITE_PNG_COMPRESSION, 1])
    if not done:
        raise ValueError('no PNG was made')
    return bytes(data)


def _kept_pixels(path: Path, size_px: tuple[int, int]) -> RgbImage | None:
    """Pixels from the cache; None where there are none, or not whole ones."""
    try:
        pixels = np.load(path, mmap_mode='r', allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    width, height = size_px
    return pixels if pixels.dtype == np.uint8 and pixels.shape == (height, width, 3) else None


def _decoded(source: PhotoSource, path: Path) -> RgbImage:
    rgb = _rgb_of(source)

    def write(work: Path) -> None:
        with work.open('wb') as file:
            np.save(file, rgb, allow_pickle=False)

    _put(path, write)
    _sweep(path.parent)
    return rgb


def _rgb_of(source: PhotoSource) -> RgbImage:
    photo = load_photo(source.find(), source.limits)
    if photo.sha256 != source.sha256 or photo.size_px != source.size_px:
        raise PhotoSetUnusable(
            f"{source.name}: the photo is not as it was when it was examined.",
            "Take the examination's folder back from a copy.",
        )
    return photo.rgb


def _put(path: Path, write: Callable[[Path], object]) -> None:
    """Put a file into the cache, whole or not at all."""
    work = path.with_name(f'.{path.name}-{secrets.token_hex(4)}')
    try:
        write(work)
        os.replace(work, path)
    finally:
        work.unlink(missing_ok=True)


def _sweep(cache: Path) -> None:
    """Delete the oldest pixels where all of them together take too much room."""
    kept = sorted(cache.glob('*.npy'), key=lambda path: path.stat().st_mtime, reverse=True)
    total = 0
    for path in kept:
        total += path.stat().st_size
        if total > CACHE_MOST_BYTES and path != kept[0]:
            with contextlib.suppress(OSError):
                path.unlink()
