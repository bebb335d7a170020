"""File to Photo: the one place where photos are read. They are opened for reading only, and never changed."""

import hashlib
import warnings
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pillow_heif
from PIL import Image, UnidentifiedImageError

from calib.arrays import RgbImage
from grader.constants import LEAST_BYTES_PER_PIXEL, MANY_PIXELS, MAX_JPEG_SCANS
from grader.errors import PhotoUnreadable
from grader.photos.exif import read_exif
from grader.photos.jpeg_scans import n_scans
from grader.photos.pixels import DECODER_FAULTS, PixelsUnusable, pixels_of
from grader.settings import PhotoLimits

PHOTO_SUFFIXES = ('.jpg', '.jpeg', '.png', '.tif', '.tiff', '.heic', '.heif', '.webp')
# Phones' MPO files come in as JPEG.
PHOTO_FORMATS = ('JPEG', 'PNG', 'TIFF', 'HEIF', 'WEBP')

pillow_heif.register_heif_opener()


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """One photo, upright and in sRGB, with what is known of its file."""

    rgb: RgbImage
    """(H, W, 3) uint8, sRGB-coded, upright, read-only."""
    sha256: str
    """Hash of the file's bytes, in hexadecimal."""
    name: str
    """File name without folder."""
    f35_mm: float | None
    """35 mm-equivalent focal length by Exif (diagonal rule), or None where the camera gives none."""
    taken_at: str
    """Time by Exif, '' where there is none; with its zone only where the camera knew it."""
    camera: str
    """Make and model by Exif, '' where there is none."""
    file_format: str
    """'JPEG', 'PNG', 'TIFF', 'HEIF' or 'WEBP'."""
    bit_depth: int
    """Bits a channel in the file: 8 or 16 (10 and 12 for some HEIC)."""
    n_bytes: int
    """Length of the file."""
    flags: tuple[str, ...]
    """Names of flags, see ``grader.flags``."""

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        height, width = self.rgb.shape[:2]
        return width, height


def load_photo(path: Path, limits: PhotoLimits) -> Photo:
    """Read one photo: JPEG, PNG, TIFF, HEIC or WebP; 8 or 16 bit; grey, colour, CMYK or with a palette.

    Its pixels come back upright (the Exif orientation is applied once, here), on white where it is transparent, and
    in sRGB where the file holds another colour profile.

    Raises
    ------
    PhotoUnreadable
        If the file is missing, empty, cut short, too large, too small or not a photo.
    """
    data = _read_bytes(path, limits)
    try:
        with warnings.catch_warnings(action='ignore'), Image.open(BytesIO(data), formats=PHOTO_FORMATS) as image:
            _check_size(image.size, path.name, limits)
            _check_filled(image.size, len(data), path.name)
            _check_scans(str(image.format), data, path.name)
            # Decoding comes first: TIFF pictures are turned by it, and then say so.
            image.load()
            exif = read_exif(image)
            pixels = pixels_of(image, data, exif.orientation)
            file_format = 'JPEG' if image.format == 'MPO' else str(image.format)
            several = file_format != 'JPEG' and getattr(image, 'n_frames', 1) > 1
    except UnidentifiedImageError as err:
        raise _not_a_photo(path.name) from err
    except Image.DecompressionBombError as err:
        raise _too_many_pixels(path.name, f"more than {2 * (Image.MAX_IMAGE_PIXELS or 0):,}", limits) from err
    except PixelsUnusable as err:
        raise PhotoUnreadable(f"{path.name}: {err}.", "Save it as an ordinary JPEG or PNG photo.") from err
    except MemoryError as err:
        raise PhotoUnreadable(
            f"{path.name}: this computer has too little free memory for so large a picture.",
            "Close other programs, or save a smaller copy of the photo and use that.",
        ) from err
    except DECODER_FAULTS as err:
        raise PhotoUnreadable(
            f"{path.name}: the file is damaged or cut short, so the picture in it cannot be read.",
            "Copy it again from the camera or phone, or take the photo again.",
        ) from err
    rgb = pixels.rgb
    rgb.flags.writeable = False
    flags = pixels.flags + (('first-picture-only',) if several else ()) + _size_flags(rgb, exif.stored_size_px)
    return Photo(
        rgb=rgb,
        sha256=hashlib.sha256(data).hexdigest(),
        name=path.name,
        f35_mm=exif.f35_mm,
        taken_at=exif.taken_at,
        camera=exif.camera,
        file_format=file_format,
        bit_depth=pixels.bit_depth,
        n_bytes=len(data),
        flags=flags,
    )


def _read_bytes(path: Path, limits: PhotoLimits) -> bytes:
    if path.is_dir():
        raise PhotoUnreadable(
            f"{path.name}: this is a folder, and a photo is needed.",
            "Name the photos in it, or use \"grader batch\" for a whole folder.",
        )
    if not path.exists():
        raise PhotoUnreadable(f"{path.name}: there is no such file.", "Check the name and the folder.")
    if not path.is_file():
        raise PhotoUnreadable(f"{path.name}: this is not an ordinary file.", "Give a photo file.")
    try:
        n_bytes = path.stat().st_size
        if n_bytes > limits.max_bytes:
            raise PhotoUnreadable(
                f"{path.name}: the file has {n_bytes:,} bytes, and at most {limits.max_bytes:,} are read.",
                "Save it as a JPEG.",
            )
        data = path.read_bytes()
    except OSError as err:
        raise PhotoUnreadable(
            f"{path.name}: the file cannot be opened ({err.strerror or err}).",
            "Check that you may read it and that its disk is connected.",
        ) from err
    if not data:
        raise PhotoUnreadable(
            f"{path.name}: the file is empty.", "Copy it again from the camera or phone, or take the photo again."
        )
    return data


def _check_size(size_px: tuple[int, int], name: str, limits: PhotoLimits) -> None:
    width, height = size_px
    if width * height > limits.max_pixels:
        raise _too_many_pixels(name, f"{width:,} x {height:,}", limits)
    if min(width, height) < limits.min_side_px:
        raise PhotoUnreadable(
            f"{name}: the picture is {width} x {height} pixels, and each side needs at least {limits.min_side_px}.",
            "Use the photo in its full size, not a thumbnail of it.",
        )


def _check_filled(size_px: tuple[int, int], n_bytes: int, name: str) -> None:
    width, height = size_px
    if width * height > MANY_PIXELS and n_bytes < LEAST_BYTES_PER_PIXEL * width * height:
        raise PhotoUnreadable(
            f"{name}: the file says that its picture has {width:,} x {height:,} pixels, and holds far too little for "
            "so many.",
            "Copy it again from the camera or phone: it is damaged, or blank.",
        )


def _check_scans(file_format: str, data: bytes, name: str) -> None:
    if file_format in ('JPEG', 'MPO') and n_scans(data, MAX_JPEG_SCANS) > MAX_JPEG_SCANS:
        raise PhotoUnreadable(
            f"{name}: the picture is written in more than {MAX_JPEG_SCANS} passes, which no camera does.",
            "Save or export it anew as an ordinary JPEG.",
        )


def _not_a_photo(name: str) -> PhotoUnreadable:
    return PhotoUnreadable(
        f"{name}: this is not a photo that can be read; JPEG, PNG, TIFF, HEIC and WebP can be.",
        "Save or export it as a JPEG. If it came from the camera as it is, copy it again.",
    )


def _too_many_pixels(name: str, seen: str, limits: PhotoLimits) -> PhotoUnreadable:
    return PhotoUnreadable(
        f"{name}: the picture has {seen} pixels, and at most {limits.max_pixels:,} are read.",
        "Save a smaller copy of it and use that.",
    )


def _size_flags(rgb: RgbImage, stored_size_px: tuple[int, int]) -> tuple[str, ...]:
    """Flag for a picture that was cropped or scaled after the camera wrote its size."""
    if 0 in stored_size_px:
        return ()
    height, width = rgb.shape[:2]
    same = sorted(stored_size_px) == sorted((width, height))
    return () if same else ('size-differs-from-exif',)
