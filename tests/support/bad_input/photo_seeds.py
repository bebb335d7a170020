"""Small whole photos in every format that is read, to be damaged."""

import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pillow_heif
from PIL import Image

from tests.support.bad_input.photo_mutation import plain_profile
from tests.support.example_photos import DEMO_FOLDER

FIXTURES = Path(__file__).parents[3] / 'fixtures' / 'photos'
SIDE_PX = 420


@dataclass(frozen=True)
class SeedPhoto:
    """A whole photo."""

    name: str
    """File name, which tells the format."""
    data: bytes


def seed_photos() -> tuple[SeedPhoto, ...]:
    """Photos of invented pieces and of drawn ground, made small, in all formats and modes."""
    pillow_heif.register_heif_opener()
    piece = _small(FIXTURES / 'swirl-clean.jpg', SIDE_PX)
    others = [_small(path, SIDE_PX) for path in (FIXTURES / 'no-card.jpg', DEMO_FOLDER / 'demo-low.jpg')]
    ground = Image.fromarray(np.random.default_rng(11).normal(190, 3, (240, 320, 3)).clip(0, 255).astype(np.uint8))
    profile = plain_profile('sRGB')
    deep = (np.asarray(piece.convert('L')).astype(np.uint16) << 8) | 0x55
    return (
        _saved('piece.jpg', piece, quality=90, icc_profile=profile, exif=_exif(piece)),
        _saved('scans.jpg', ground, quality=85, progressive=True),
        _saved('low.jpg', others[1], quality=85),
        _saved('open.jpg', others[0], quality=85, exif=_exif(others[0])),
        _saved('ground.jpg', ground, quality=90, exif=_exif(ground)),
        _saved('cmyk.jpg', ground.convert('CMYK'), quality=90),
        _saved('grey.jpg', ground.convert('L'), quality=90, icc_profile=profile),
        _saved('several.jpg', ground, format='MPO', save_all=True, append_images=[piece.copy()]),
        _saved('colour.png', ground, icc_profile=profile, exif=_exif(ground)),
        _saved('palette.png', ground.quantize(64)),
        _saved('clear.png', _half_clear(ground)),
        _saved('deep.png', Image.fromarray(deep)),
        _saved('moving.png', ground, save_all=True, append_images=[ground.rotate(9)]),
        _saved('plain.tif', ground, exif=_exif(ground)),
        _saved('packed.tif', ground, compression='tiff_lzw', icc_profile=profile),
        _saved('deep.tif', Image.fromarray(deep)),
        _saved('float.tif', Image.fromarray(np.asarray(ground.convert('L')).astype(np.float32))),
        _saved('pages.tif', ground, save_all=True, append_images=[piece.copy()], compression='tiff_deflate'),
        _saved('jpeg.tif', ground, compression='jpeg'),
        _saved('piece.heic', piece, quality=70, exif=_exif(piece)),
        _saved('grey.heic', ground.convert('L'), quality=60),
        _saved('colour.webp', ground, quality=80, exif=_exif(ground), icc_profile=profile),
        _saved('exact.webp', _half_clear(ground), lossless=True),
    )


def _small(path: Path, side_px: int) -> Image.Image:
    with Image.open(path) as photo:
        return photo.convert('RGB').resize((side_px, round(side_px * photo.height / photo.width)))


def _half_clear(image: Image.Image) -> Image.Image:
    clear = image.convert('RGBA')
    clear.putalpha(Image.linear_gradient('L').resize(clear.size))
    return clear


def _exif(image: Image.Image) -> bytes:
    fields = Image.Exif()
    fields[0x0112], fields[0x010F], fields[0x0110] = 1, 'Maker', 'Maker One'
    fields.get_ifd(0x8769).update(
        {0xA405: 50, 0x9003: '2026:03:10 10:09:00', 0xA002: image.width, 0xA003: image.height}
    )
    return fields.tobytes()


def _saved(name: str, image: Image.Image, **options: object) -> SeedPhoto:
    kinds = {'jpg': 'JPEG', 'png': 'PNG', 'tif': 'TIFF', 'heic': 'HEIF', 'webp': 'WEBP'}
    data = io.BytesIO()
    image.save(data, **{'format': kinds[name.rpartition('.')[2]], **options})
    return SeedPhoto(name, data.getvalue())
