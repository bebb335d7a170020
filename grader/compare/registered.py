"""A mark's place in two photos laid over each other: is the mark's light there, and could it have stood out?"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import GreyImage
from calib.constants import MAD_TO_SD
from grader.compare.constants import CLIPPED_SHARE, LEAST_PIXELS, MOST_OWN_PX
from grader.compare.mark_look import CarriedLook


@dataclass(frozen=True, slots=True)
class Registered:
    """What one photo shows where another shows a mark; amounts are shares of the mark's light in that other photo."""

    amount: float
    """How much of the mark's look is there: 1 as much, 0 nothing, negative the opposite."""
    u_amount: float
    """Standard deviation of that where there is no mark, by the texture round the place; its inverse is how far a mark
    of the same light would stand out."""
    clipped_ratio: float
    """Share of the place, 0 to 1, that is as light as the photo can show."""


def register(look: CarriedLook, light: GreyImage, white: float, search_px: int) -> Registered | None:
    """Compare a mark's look with what another photo shows at its place; None where too little is seen.

    The mark's own look is laid over the other photo at all shifts within its window, as a matched filter. The best
    within reach is what the photo shows of the mark; the spread of all others, noise, grain of JPEG and design
    together, is the background against which it would have to stand out.

    Parameters
    ----------
    look : CarriedLook
    light : ndarray of shape (H, W)
        The other photo's crop.
    white : float
        Light at which that is clipped.
    search_px : int
        How far off the mark may lie.
    """
    power = float((look.template**2).sum())
    if power <= 0 or look.support.sum() < LEAST_PIXELS:
        return None
    other = light[look.window]
    found, near, touching = _responses(look, other, search_px)
    far = found[~touching]
    if far.size < LEAST_PIXELS:
        return None
    core = look.mask >= 0.5 * look.mask.max()
    return Registered(
        amount=float(found[near].max()) / power,
        u_amount=max(_spread(far) / power, 1e-6),
        clipped_ratio=float((other[core] > CLIPPED_SHARE * white).mean()),
    )


def _responses(
    look: CarriedLook, other: GreyImage, search_px: int
) -> tuple[GreyImage, npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """The template's response at all shifts, which shifts are within reach, and at which it would touch the mark."""
    rows, columns = np.nonzero(look.support)
    top, left = rows.min(), columns.min()
    template = look.template[top : rows.max() + 1, left : columns.max() + 1]
    found = cv2.matchTemplate(
        np.ascontiguousarray(other, dtype=np.float32), np.ascontiguousarray(template), cv2.TM_CCORR
    )
    down, right = np.mgrid[: found.shape[0], : found.shape[1]]
    off = np.maximum(np.abs(down - top), np.abs(right - left))
    own = min(min(template.shape) // 2, MOST_OWN_PX)
    return np.asarray(found, dtype=np.float32), np.asarray(off <= search_px), np.asarray(off <= max(search_px, own))


def _spread(values: np.ndarray) -> float:
    """Standard deviation, the larger of the usual and the robust one."""
    robust = MAD_TO_SD * float(np.median(np.abs(values - np.median(values))))
    return max(float(values.std()), robust)
