"""How light changes across the rim of a glass dome, and where in that change the rim lies.

Outside, the ground changes slowly. Inside, close to the rim, glass is looked at so flatly that it mirrors the ground
just beyond; going in, the share of light T = 1 - F that comes from within the glass rises like a root (Fresnel's F
for unpolarised light). So the light has no step at the rim but a kink, and the steepest place lies inside it. The
model here is: light = ground (a line) + T (a line), blurred.
"""

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from calib.constants import MAD_TO_SD
from grader.outline.constants import DEPTH_FALL_PX, DEPTH_FULL_PX, SEAM_DEPTHS_PX
from grader.outline.fresnel import fresnel_reflectance

_FINE_STEP_PX = 0.05


def profiles_along(
    light: GreyImage, points_px: PointsPx, normals: FloatArray, places_px: FloatArray, joined: int
) -> GreyImage:
    """Light along the normals of a closed contour, averaged over neighbours.

    Parameters
    ----------
    light : ndarray of shape (H, W, 3)
        float32, linear.
    points_px, normals : ndarray of shape (N, 2)
        Contour and its outward unit normals.
    places_px : ndarray of shape (K,)
        Distances along the normal, positive outside.
    joined : int
        Neighbours on both sides that are averaged.

    Returns
    -------
    ndarray of shape (N, 3, K)
    """
    at = points_px[:, None] + normals[:, None] * places_px[None, :, None]
    x, y = np.ascontiguousarray(at[..., 0], dtype=np.float32), np.ascontiguousarray(at[..., 1], dtype=np.float32)
    found = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    total = np.sum([np.roll(found, k, axis=0) for k in range(-joined, joined + 1)], axis=0) / (2 * joined + 1)
    return np.ascontiguousarray(total.transpose(0, 2, 1), dtype=np.float32)


def rim_transmission(places_px: FloatArray, radius_px: float, blur_px: float) -> FloatArray:
    """T at distances from the rim of a dome of this radius, blurred; 0 outside. Shape as `places_px`."""
    reach = 6 * blur_px
    fine = np.arange(places_px.min() - reach, places_px.max() + reach, _FINE_STEP_PX)
    cos_in = np.sqrt(np.clip(1 - np.clip(1 + fine / radius_px, 0, None) ** 2, 0, 1))
    sharp = np.where(fine < 0, 1 - fresnel_reflectance(cos_in), 0.0)
    spread = np.arange(-4 * blur_px, 4 * blur_px + _FINE_STEP_PX / 2, _FINE_STEP_PX)
    kernel = np.exp(-0.5 * (spread / blur_px) ** 2)
    blurred = np.convolve(sharp, kernel / kernel.sum(), mode='same')
    return np.asarray(np.interp(places_px, fine, blurred))


def misfit(
    profiles: GreyImage,
    places_px: FloatArray,
    shifts_px: FloatArray,
    radius_px: float,
    blur_px: float,
    *,
    has_seam: bool = False,
) -> FloatArray:
    """How badly a rim at each shift explains each profile.

    Parameters
    ----------
    profiles : ndarray of shape (N, 3, K)
        Light along normals, see `profiles_along`.
    places_px : ndarray of shape (K,)
    shifts_px : ndarray of shape (S,)
        Places of the rim that are tried.
    radius_px, blur_px : float
        Of the dome's outline and of the picture.
    has_seam : bool
        Whether a narrow seam of another light may run along the rim within the glass, as where the mirror image of
        a far horizon or of the piece's own shadow is drawn together there.

    Returns
    -------
    ndarray of shape (N, S)
        -2 log likelihood, less a constant, of the best model at each shift, with the scale of its errors as free
        as the rest (never below the ground's noise), summed over the channels.
    """
    weight = np.where(places_px < -DEPTH_FULL_PX, np.exp((places_px + DEPTH_FULL_PX) / DEPTH_FALL_PX), 1.0)
    root = np.sqrt(weight)
    weighted = profiles * root.astype(np.float32)
    total = (weighted**2).sum(axis=2)
    slope = profiles[:, :, 2:] - profiles[:, :, :-2]
    noise2 = np.maximum((MAD_TO_SD * np.median(np.abs(slope[:, :, -10:]), axis=(0, 2))) ** 2 / 2, 1e-9)
    n = weight.sum()
    result = np.empty((len(profiles), len(shifts_px)))
    for k, shift in enumerate(shifts_px):
        explained = weighted @ _model(places_px, float(shift), radius_px, blur_px, root, has_seam)
        left = np.maximum(total - (explained**2).sum(axis=2), 0) / noise2
        result[:, k] = (n * np.log1p(left / n)).sum(axis=1)
    return result


def _model(
    places_px: FloatArray, shift_px: float, radius_px: float, blur_px: float, root: FloatArray, has_seam: bool
) -> GreyImage:
    """Orthonormal columns (K, 4 or more) that span ground line, glass line and seam with the rim at `shift_px`."""
    inside = places_px - shift_px
    glass = rim_transmission(inside, radius_px, blur_px)
    columns = [np.ones_like(places_px), places_px, glass, glass * inside]
    if has_seam:
        columns += [glass * np.exp(np.minimum(inside, 0) / depth) for depth in SEAM_DEPTHS_PX]
    basis, _ = np.linalg.qr(np.column_stack(columns) * root[:, None])
    return np.asarray(basis.astype(np.float32))
