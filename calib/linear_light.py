"""sRGB code to linear light and back.

Source: IEC 61966-2-1 (checked against colour-science 0.4.7).
"""

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, RgbImage

LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""(3,) shares of linear red, green and blue in luminance. Source: ITU-R BT.709."""


def decode_srgb(code: FloatArray) -> FloatArray:
    """Linear light 0 to 1 of sRGB values 0 to 1, any shape."""
    code = np.asarray(code, dtype=np.float64)
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def encode_srgb(linear: FloatArray) -> FloatArray:
    """Code values 0 to 1 (sRGB) of linear light 0 to 1, any shape."""
    linear = np.asarray(linear, dtype=np.float64)
    knee = np.maximum(linear, 0.0031308)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * knee ** (1 / 2.4) - 0.055)


_DECODE_TABLE = decode_srgb(np.arange(256) / 255).astype(np.float32)


def linear_rgb(rgb: RgbImage) -> GreyImage:
    """(H, W, 3) float32 linear light of an sRGB coded picture."""
    return np.asarray(cv2.LUT(np.ascontiguousarray(rgb), _DECODE_TABLE), dtype=np.float32)


def linear_grey(rgb: RgbImage) -> GreyImage:
    """(H, W) float32 luminance in linear light, 0 to 1, of an sRGB coded picture."""
    if rgb.ndim != 3 or rgb.shape[2] != 3 or rgb.dtype != np.uint8:
        raise ValueError(f'rgb must be uint8 of shape (H, W, 3), got {rgb.dtype} {rgb.shape}')
    return np.asarray(cv2.transform(linear_rgb(rgb), LUMINANCE[None].astype(np.float32)), dtype=np.float32)
