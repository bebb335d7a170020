"""Decoded picture to upright 8-bit sRGB pixels."""

import struct
from dataclasses import dataclass
from io import BytesIO

import numpy as np
from PIL import Image, ImageCms

from calib.arrays import RgbImage
from grader.constants import LEVELS_8_BIT, SRGB_TOLERANCE_LEVELS

_EIGHT_BIT_MODES = ('1', 'L', 'P', 'RGB', 'RGBX', 'CMYK', 'YCbCr')
_ALPHA_MODES = ('LA', 'La', 'PA', 'RGBA', 'RGBa')
_DEEP_GREY_MODES = ('I;16', 'I;16L', 'I;16B', 'I;16N')
# Modes whose colours an embedded profile can describe.
_PROFILE_MODES = ('L', 'RGB', 'CMYK')
_TIFF_BITS_PER_SAMPLE, _TIFF_PLANAR_CONFIGURATION, _TIFF_SEPARATE_PLANES = 258, 284, 2
_PNG_BIT_DEPTH_AT = 24

# What the decoders are known to raise on damaged or hostile files.
DECODER_FAULTS = (
    OSError,
    ValueError,
    SyntaxError,
    TypeError,
    AttributeError,
    LookupError,
    ArithmeticError,
    RuntimeError,
    EOFError,
    struct.error,
)


class PixelsUnusable(Exception):
    """The file is a picture, but of a sort that cannot be examined; the text says which."""


@dataclass(frozen=True, slots=True, eq=False)
class Pixels:
    """What was decoded."""

    rgb: RgbImage
    """(H, W, 3) uint8, upright sRGB; a new array."""
    bit_depth: int
    """Bits a channel in the file."""
    flags: tuple[str, ...]
    """Names of flags."""


def pixels_of(image: Image.Image, data: bytes, orientation: int) -> Pixels:
    """Upright 8-bit sRGB pixels of a decoded picture.

    Parameters
    ----------
    image
        As opened and decoded by Pillow.
    data
        The whole file, whose header tells the bit depth.
    orientation
        Exif orientation, 1 to 8.

    Raises
    ------
    PixelsUnusable
        If the picture is of a sort that does not hold a photo.
    """
    bit_depth = _bit_depth(image, data)
    if bit_depth > 8 and _has_separate_planes(image):
        # Pillow 13 mixes the bytes of these up.
        raise PixelsUnusable("its colours are stored in separate planes of 16 bit")
    profile = image.info.get('icc_profile') or b''
    eight_bit, flags = _without_alpha(_in_eight_bits(image, bit_depth))
    converted, profile_flags = _in_srgb(eight_bit, profile)
    rgb = turn_upright(np.asarray(converted, dtype=np.uint8), orientation)
    return Pixels(rgb=rgb, bit_depth=bit_depth, flags=flags + profile_flags)


def turn_upright(rgb: RgbImage, orientation: int) -> RgbImage:
    """Pixels as the photographer saw them, in a new array.

    Parameters
    ----------
    rgb
        (H, W, ...) as stored.
    orientation
        Exif 2.32 tag 0x0112: which side of the scene the first row and the first column show. 1 is upright; 2 mirrored
        left to right; 3 turned by half; 4 mirrored top to bottom; 5 to 8 have rows and columns swapped.
    """
    if orientation >= 5:
        rgb = rgb.swapaxes(0, 1)
    if orientation in (2, 3, 6, 7):
        rgb = rgb[:, ::-1]
    if orientation in (3, 4, 7, 8):
        rgb = rgb[::-1]
    return np.array(rgb, order='C')


def _bit_depth(image: Image.Image, data: bytes) -> int:
    if image.format == 'PNG' and len(data) > _PNG_BIT_DEPTH_AT:
        return max(8, data[_PNG_BIT_DEPTH_AT])
    if image.format == 'TIFF':
        bits = getattr(image, 'tag_v2', {}).get(_TIFF_BITS_PER_SAMPLE, 8)
        return int(np.max(bits, initial=8))
    if image.format == 'HEIF':
        return int(image.info.get('bit_depth', 8))
    return 8


def _has_separate_planes(image: Image.Image) -> bool:
    tags = getattr(image, 'tag_v2', {})
    return bool(tags.get(_TIFF_PLANAR_CONFIGURATION) == _TIFF_SEPARATE_PLANES)


def _in_eight_bits(image: Image.Image, bit_depth: int) -> Image.Image:
    """Picture with 8 bits a channel: the upper ones, as the decoder keeps them of deep colour itself."""
    if image.mode not in _DEEP_GREY_MODES:
        return image
    return Image.fromarray((np.asarray(image) >> (bit_depth - 8)).astype(np.uint8))


def _without_alpha(image: Image.Image) -> tuple[Image.Image, tuple[str, ...]]:
    """Picture in a mode without transparency: on white, where it had any."""
    if image.mode in _ALPHA_MODES or 'transparency' in image.info:
        seen = image.convert('RGBA')
        ground = Image.new('RGBA', seen.size, (LEVELS_8_BIT, LEVELS_8_BIT, LEVELS_8_BIT, LEVELS_8_BIT))
        opaque = seen.getchannel('A').getextrema()[0] == LEVELS_8_BIT
        flags = () if opaque else ('transparency-filled',)
        return Image.alpha_composite(ground, seen).convert('RGB'), flags
    if image.mode not in _EIGHT_BIT_MODES:
        raise PixelsUnusable(f"its pixels are of the kind \"{image.mode}\", which photos are not")
    return (image if image.mode in _PROFILE_MODES else image.convert('RGB')), ()


def _in_srgb(image: Image.Image, profile: bytes) -> tuple[Image.Image, tuple[str, ...]]:
    """Picture in sRGB, by its embedded profile where that says otherwise."""
    plain = image.convert('RGB')
    if not profile:
        return plain, ()
    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        transform = ImageCms.buildTransform(
            source,
            ImageCms.createProfile('sRGB'),
            image.mode,
            'RGB',
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
        if image.mode == 'RGB' and _leaves_colours(transform):
            return plain, ()
        converted = ImageCms.applyTransform(image, transform)
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return plain, ('colour-profile-ignored',)
    if converted is None:
        raise ValueError('the conversion gave no picture')
    return converted, ()


def _leaves_colours(transform: ImageCms.ImageCmsTransform) -> bool:
    """Whether a profile is sRGB under whatever name: most photos carry one, and need no pass over their pixels."""
    steps = np.linspace(0, LEVELS_8_BIT, 9).astype(np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps, indexing='ij'), axis=-1).reshape(1, -1, 3)
    after = ImageCms.applyTransform(Image.fromarray(cube), transform)
    change = np.abs(np.asarray(after, dtype=np.int16) - cube.astype(np.int16))
    return bool(change.max() <= SRGB_TOLERANCE_LEVELS)
