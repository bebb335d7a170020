"""The card's printed greys: exposure and white balance of a photo."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, RgbImage
from calib.card_fit import CardFit
from calib.constants import MAD_TO_SD, PATCH_CLIPPED_CODE, PATCH_CLIPPED_RATIO, PATCH_INNER_RATIO
from calib.linear_light import linear_rgb


@dataclass(frozen=True, slots=True, eq=False)
class PatchReading:
    """One grey patch as the photo shows it.

    Attributes
    ----------
    reflectance_ratio : float
        Share of light that the patch gives back, from the card's spec.
    linear_rgb : ndarray of shape (3,)
        Median linear light, 0 to 1 the photo's white.
    spread_rgb : ndarray of shape (3,)
        Standard uncertainty of that median from the scatter of its pixels.
    clipped : bool
        Whether a share of its pixels has a channel at white.
    n_pixels : int
    """

    reflectance_ratio: float
    linear_rgb: FloatArray
    spread_rgb: FloatArray
    clipped: bool
    n_pixels: int


@dataclass(frozen=True, slots=True, eq=False)
class Greys:
    """Exposure and colour of light, as the grey patches show them.

    Attributes
    ----------
    patches : tuple of PatchReading
        Those in the picture, in the spec's order.
    gain_rgb : ndarray of shape (3,)
        Linear light of a perfect white (reflectance 1) by channel; above 1 it would be clipped.
    u_gain_ratio : float
        Relative standard uncertainty of the gains: how badly one gain fits all patches.
    white_balance : ndarray of shape (3,)
        Factors by channel that make the greys grey, green 1.
    clipped : bool
        Whether any patch is clipped.
    """

    patches: tuple[PatchReading, ...]
    gain_rgb: FloatArray
    u_gain_ratio: float
    white_balance: FloatArray
    clipped: bool


@dataclass(frozen=True, slots=True)
class NoGreys:
    """Why the greys say nothing.

    Attributes
    ----------
    reason : str
        In words.
    """

    reason: str


def read_greys(rgb: RgbImage, card: CardFit) -> Greys | NoGreys:
    """Exposure and white balance from the card's grey patches.

    1. Each patch's inner part is mapped into the photo and its median taken in linear light.
    2. The gain of a channel is the median of reading / reflectance over patches that are
       not clipped; light differs over the card, so patches are not averaged.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        uint8 sRGB.
    card : CardFit

    Returns
    -------
    Greys or NoGreys
    """
    readings = tuple(
        reading
        for patch in card.spec.grey_patches
        for reading in _read(rgb, card, patch.centre_mm, patch.size_mm, patch.reflectance_ratio)
    )
    usable = [one for one in readings if not one.clipped]
    if not readings:
        return NoGreys("no grey patch of the card is in the picture")
    if not usable:
        return NoGreys("all grey patches of the card are over-exposed")
    ratios = np.array([one.linear_rgb / one.reflectance_ratio for one in usable])
    gain = np.median(ratios, axis=0)
    if np.any(gain <= 0):
        return NoGreys("the grey patches of the card are black in the picture")
    off = np.abs(ratios / gain - 1)
    u_ratio = MAD_TO_SD * float(np.median(off)) / np.sqrt(len(usable))
    return Greys(readings, gain, u_ratio, gain[1] / gain, any(one.clipped for one in readings))


def _read(
    rgb: RgbImage, card: CardFit, centre_mm: tuple[float, float], size_mm: float, reflectance: float
) -> list[PatchReading]:
    """Reading of one patch; empty if it is not wholly in the picture."""
    n = max(3, int(PATCH_INNER_RATIO * size_mm * 4))
    along = (np.linspace(-0.5, 0.5, n)) * size_mm * PATCH_INNER_RATIO
    x, y = np.meshgrid(centre_mm[0] + along, centre_mm[1] + along)
    places_mm = card.print_scale_ratio * np.column_stack([x.ravel(), y.ravel(), np.zeros(x.size)])
    places = np.round(card.project_mm(places_mm)).astype(np.int64)
    height, width = rgb.shape[:2]
    if np.any(places < 0) or np.any(places >= [width, height]):
        return []
    cols, rows = np.unique(places, axis=0).T
    codes = rgb[rows, cols]
    light = linear_rgb(codes[None])[0].astype(np.float64)
    clipped = bool(np.mean(np.any(codes >= PATCH_CLIPPED_CODE, axis=1)) > PATCH_CLIPPED_RATIO)
    spread = light.std(axis=0) / np.sqrt(len(light))
    return [PatchReading(reflectance, np.median(light, axis=0), spread, clipped, len(light))]
