"""How light a photo is, and how much of it is clipped or near-black."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import GreyImage, Mask, RgbImage
from calib.card_fit import CardFit
from calib.grey_patches import Greys, read_greys
from calib.linear_light import LUMINANCE
from grader.marks.unseen_constants import CLIPPED_CODE
from grader.outline.dome_view import NoCard
from grader.quality.constants import DARK_LIGHT, PAPER_REFLECTANCE

_LIGHTEST_QUANTILE = 0.99  # Source: leaves out single mirrored lamps


@dataclass(frozen=True, slots=True)
class Exposure:
    """Light of one photo; 1 is the photo's white, linear."""

    paper_light: float | None
    """Light of white paper by the card's grey patches; None without them."""
    piece_light: float
    """Median light of the piece."""
    lightest: float
    """Light that one hundredth of the piece and its surroundings exceeds."""
    clipped_ratio: float
    """Share of the piece, 0 to 1, that is clipped in all channels."""
    dark_ratio: float
    """Share of the piece that is near-black."""
    card_clipped: bool | None
    """Whether a grey patch of the card is clipped; None without them."""


def measure_exposure(
    rgb: RgbImage, linear: GreyImage, card: CardFit | NoCard, inside: Mask, around: tuple[slice, slice]
) -> Exposure:
    """Light of the piece and of the card.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3), uint8
    linear : ndarray of shape (H, W)
        Its linear light.
    card : CardFit or NoCard
    inside : ndarray of shape (h, w), bool
        The piece within `around`.
    around : pair of slices
        Rows and columns of the part of the photo that holds the piece.
    """
    part, codes = linear[around], rgb[around]
    darkest = cv2.min(cv2.min(codes[..., 0], codes[..., 1]), codes[..., 2])
    piece = part[inside]
    n_piece = max(piece.size, 1)
    greys = NoCard("") if isinstance(card, NoCard) else read_greys(rgb, card)
    known = greys if isinstance(greys, Greys) else None
    return Exposure(
        paper_light=None if known is None else PAPER_REFLECTANCE * float(np.asarray(known.gain_rgb) @ LUMINANCE),
        piece_light=float(np.median(piece)) if piece.size else 0.0,
        lightest=float(np.quantile(part, _LIGHTEST_QUANTILE)),
        clipped_ratio=np.count_nonzero((darkest >= CLIPPED_CODE) & inside) / n_piece,
        dark_ratio=np.count_nonzero(piece < DARK_LIGHT) / n_piece,
        card_clipped=None if known is None else known.clipped,
    )


def paper_or_lightest(exposure: Exposure) -> float:
    """What stands for white paper: the card's, or else the lightest part of the picture round the piece; at most 1."""
    return min(exposure.lightest if exposure.paper_light is None else exposure.paper_light, 1.0)
