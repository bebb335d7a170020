"""The mirror image of a ring light in the dome: a pale band between two ovals."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.constants import MAD_TO_SD
from calib.linear_light import linear_rgb
from grader.marks.unseen_constants import (
    MOST_RINGS,
    RING_ANGLES,
    RING_COLOUR_SHARE,
    RING_LEAST_STEP,
    RING_RADII,
    RING_SEARCH_RATIO,
    RING_SEARCH_STEPS,
    RING_SMALLEST_RATIO,
    RING_STEP_RADII,
    RING_SURE,
    RING_THICKEST_RATIO,
    RING_THINNEST_RATIO,
)
from grader.marks.unseen_shapes import PiecePicture

_CLEAR_RADII = 4  # Source: blur at a band's edge, so that it is not found again as its own neighbour
_OVAL_POINTS = 96  # Source: a polygon of so many sides is within 0.06 % of its oval


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A pale band between two ovals of one middle, shaped like the piece's own outline."""

    middle: FloatArray
    """(2,) in the picture."""
    frame: FloatArray
    """(2, 2) maps the unit circle to the oval of the piece's size."""
    inner_ratio: float
    """Inner radius in radii of the piece."""
    outer_ratio: float
    """Outer radius in radii of the piece."""
    veil: float
    """Light that the reflection adds, linear, 0 to 1."""

    def oval(self, radius_ratio: float) -> PointsPx:
        """Points (N, 2) of the oval of a radius."""
        turn = np.arange(_OVAL_POINTS) * (2 * math.pi / _OVAL_POINTS)
        return self.middle + radius_ratio * np.stack([np.cos(turn), np.sin(turn)], axis=1) @ self.frame.T

    def mask(self, shape: tuple[int, ...]) -> np.ndarray:
        """(h, w) uint8, 1 on the band."""
        band = np.zeros(shape[:2], np.uint8)
        for radius_ratio, value in ((self.outer_ratio, 1), (self.inner_ratio, 0)):
            cv2.fillPoly(band, [np.rint(self.oval(radius_ratio) * 16).astype(np.int32)], value, shift=4)
        return band


@dataclass(frozen=True, slots=True)
class _Band:
    """Best band about one middle."""

    step: float
    inner: int
    outer: int


def find_rings(picture: PiecePicture, contour: PointsPx, facing_point: FloatArray) -> list[Ring]:
    """Reflections of ring lights, the clearest first; most often one or none.

    A reflection adds the same colourless light to whatever lies under it. So the darkest channel rises by the same
    step all round where the band begins and falls where it ends; the median over all directions tells it from
    the design. The middle is searched near the point where the glass faces the camera.

    Parameters
    ----------
    picture : PiecePicture
    contour : ndarray of shape (N, 2)
        The piece's outline in the picture.
    facing_point : ndarray of shape (2,)
        Where the glass faces the camera, in the picture.
    """
    linear = linear_rgb(picture.rgb)
    darkest = np.asarray(cv2.min(cv2.min(linear[..., 0], linear[..., 1]), linear[..., 2]))
    frame = _frame(contour)
    rings: list[Ring] = []
    open_radii = np.ones(RING_RADII, dtype=bool)
    for _ in range(MOST_RINGS):
        middle, band = _best_about(facing_point, darkest, frame, open_radii)
        if band.step < RING_LEAST_STEP or not _is_veil(linear, middle, frame, band):
            break
        rings.append(Ring(middle, frame, band.inner / RING_RADII, band.outer / RING_RADII, band.step))
        open_radii[max(band.inner - _CLEAR_RADII, 0) : band.outer + _CLEAR_RADII + 1] = False
    return rings


def _best_about(
    middle: FloatArray, darkest: np.ndarray, frame: FloatArray, open_radii: np.ndarray
) -> tuple[FloatArray, _Band]:
    """Best middle (2,) near the one given, and its band, coarse to fine."""
    band, reach = _Band(0.0, 0, 0), RING_SEARCH_RATIO
    for step in RING_SEARCH_STEPS:
        offsets = np.arange(-reach, reach + step / 2, step)
        middles = middle + np.stack(np.meshgrid(offsets, offsets), axis=-1).reshape(-1, 2) @ frame.T
        bands = _bands(darkest, middles, frame, open_radii)
        best = max(range(len(bands)), key=lambda k: bands[k].step)
        middle, band, reach = middles[best], bands[best], step
    return middle, band


def _frame(contour: PointsPx) -> FloatArray:
    """Symmetric (2, 2) matrix that maps the unit circle to the oval of the outline's second moments."""
    apart = contour - contour.mean(axis=0)
    values, axes = np.linalg.eigh(apart.T @ apart / len(apart) * 2)
    return np.asarray(axes @ np.diag(np.sqrt(values)) @ axes.T)


def _samples(image: np.ndarray, middles: FloatArray, frame: FloatArray) -> np.ndarray:
    """Values along rays, (M, RING_ANGLES, RING_RADII[, channels]), for middles (M, 2)."""
    turn = np.arange(RING_ANGLES) * (2 * math.pi / RING_ANGLES)
    radius = np.arange(RING_RADII) / RING_RADII
    rays = radius[None, :, None] * (np.stack([np.cos(turn), np.sin(turn)], axis=1) @ frame.T)[:, None]
    at = (middles[:, None, None] + rays[None]).astype(np.float32)
    flat = at.reshape(len(middles) * RING_ANGLES, RING_RADII, 2)
    values = cv2.remap(image, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(values.reshape(len(middles), RING_ANGLES, RING_RADII, *image.shape[2:]))


def _bands(darkest: np.ndarray, middles: FloatArray, frame: FloatArray, open_radii: np.ndarray) -> list[_Band]:
    """Best band about each middle (M, 2), with its edges at open radii only."""
    rays = _samples(darkest, middles, frame)
    lag = round(2 * RING_STEP_RADII)
    rise = np.full((len(middles), RING_RADII), 0.0)
    half = lag // 2
    change = rays[..., lag:] - rays[..., :-lag]
    middle_change = np.median(change, axis=1)
    error = MAD_TO_SD * np.median(np.abs(change - middle_change[:, None]), axis=1) / math.sqrt(RING_ANGLES / 2)
    sure = np.abs(middle_change) > RING_SURE * error
    rise[:, half : half + middle_change.shape[1]] = middle_change * sure
    rise[:, ~open_radii] = 0
    return [_best_band(r) for r in rise]


def _best_band(rise: FloatArray) -> _Band:
    """Pair of radii between which the median profile stands up highest, (RING_RADII,) changes per radius."""
    thin, thick = max(2, round(RING_THINNEST_RATIO * RING_RADII)), round(RING_THICKEST_RATIO * RING_RADII)
    first = round(RING_SMALLEST_RATIO * RING_RADII)
    best = _Band(0.0, 0, 0)
    for width in range(thin, thick + 1):
        step = np.minimum(rise[first:-width], -rise[first + width :])
        k = int(np.argmax(step))
        if step[k] > best.step:
            best = _Band(float(step[k]), first + k, first + k + width)
    return best


def _is_veil(linear: np.ndarray, middle: FloatArray, frame: FloatArray, band: _Band) -> bool:
    """Whether the band is a colourless light on top of what lies beside it, up to clipping."""
    rays = _samples(linear, middle[None], frame)[0]
    inside = rays[:, (band.inner + band.outer + 1) // 2]
    beside = (rays[:, max(band.inner - 3, 0)] + rays[:, min(band.outer + 3, RING_RADII - 1)]) / 2
    added = np.median(inside - beside, axis=0)
    room = np.median(1 - beside, axis=0)
    expected = np.minimum(np.max(added), room)
    return bool(np.all(np.abs(added - expected) <= RING_COLOUR_SHARE * np.max(added)))
