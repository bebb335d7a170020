"""Photos changed as cameras, phones and programs change them: exposure, white balance, blur, noise, compression, size."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image
from scipy import ndimage

from calib.linear_light import decode_srgb, encode_srgb

KEPT_QUALITY = 95
"""Of the JPEG where compression is not what is changed."""

Change = Callable[[np.ndarray], np.ndarray]


def exposed(factor: float) -> Change:
    """So many times as much light, (H, W, 3) uint8 in and out; what is above white is lost."""
    return lambda codes: coded(light_of(codes) * factor)


def balanced(red: float, blue: float) -> Change:
    """Light of red and blue times these."""
    return lambda codes: coded(light_of(codes) * np.array([red, 1.0, blue]))


def blurred(spread_px: float) -> Change:
    """Blur of this standard deviation, in linear light."""
    return lambda codes: coded(ndimage.gaussian_filter(light_of(codes), (spread_px, spread_px, 0)))


def noisy(spread_codes: float, seed: int = 83) -> Change:
    """Noise of this standard deviation, in 8-bit codes."""

    def change(codes: np.ndarray) -> np.ndarray:
        noise = np.random.default_rng(seed).normal(0, spread_codes, codes.shape)
        return np.clip(np.rint(codes + noise), 0, 255).astype(np.uint8)

    return change


def turned(quarters: int) -> Change:
    """Turned by so many quarters against the clock."""
    return lambda codes: np.ascontiguousarray(np.rot90(codes, quarters))


def scaled(ratio: float) -> Change:
    """So many times as wide and high."""

    def change(codes: np.ndarray) -> np.ndarray:
        height, width = codes.shape[:2]
        size = (round(width * ratio), round(height * ratio))
        return np.asarray(Image.fromarray(codes).resize(size, Image.Resampling.BOX))

    return change


def unchanged(codes: np.ndarray) -> np.ndarray:
    """As it is."""
    return codes


def write_changed(photo: Path, change: Change, out: Path, *, quality: int = KEPT_QUALITY) -> None:
    """Write a photo changed, as JPEG with the Exif fields that it had."""
    with Image.open(photo) as image:
        exif, codes = image.getexif(), np.asarray(image.convert('RGB'))
    Image.fromarray(change(codes)).save(out, 'JPEG', quality=quality, exif=exif)


def light_of(codes: np.ndarray) -> np.ndarray:
    """Linear light of sRGB codes, 0 to 1."""
    return decode_srgb(codes / 255)


def coded(light: np.ndarray) -> np.ndarray:
    """sRGB codes of linear light, uint8; what is outside 0 to 1 is cut."""
    return np.rint(255 * encode_srgb(np.clip(light, 0.0, 1.0))).astype(np.uint8)
