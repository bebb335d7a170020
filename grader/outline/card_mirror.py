"""Heights of the dome from the mirror image of the card near its rim.

Near the rim the glass leans so much that it mirrors the card round it. Where each spot of the card appears there
depends on how high the widest ring lies and how much the dome rises above it, and on nothing else that is not
known already. So for many domes the mirror image is predicted from the photo itself (the ray is mirrored, and the
photo says what lies where it meets the card), and each prediction is held against what the photo shows there.
The outcome is weighed with what is usual for paperweights, so that a photo without a usable mirror image
(facets, a busy design) changes nothing.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from calib.card_fit import CardFit
from grader.outline.constants import (
    GLASS_INDEX,
    MIRROR_BEYOND_MM,
    MIRROR_BLUR,
    MIRROR_DIRECTIONS,
    MIRROR_EVEN_WAVES,
    MIRROR_EVERY,
    MIRROR_FROM,
    MIRROR_INSIDE_MM,
    MIRROR_RADII,
    MIRROR_SMOOTH,
    MIRROR_STRENGTH_MAX,
    MIRROR_TO,
    MIRROR_VARIANCE,
    MIRROR_VARIANCE_FLOOR,
    RING_OF_WIDTH_RATIO,
    RISE_OF_WIDTH_RATIO,
)
from grader.outline.dome_view import DomeOutline
from grader.outline.domes_of_outline import DomesOfOutline


@dataclass(frozen=True, slots=True, eq=False)
class _Band:
    """What the photo shows near the rim, and the coarse grid of rays on which mirrors are computed."""

    light: GreyImage
    """(directions, radii) light without its smooth part."""
    weight: GreyImage
    """(directions, radii) inverse of its local variance."""
    directions: FloatArray
    """(n, 3) viewing rays of the coarse grid."""
    shape: tuple[int, int]
    """Rows and columns of the coarse grid; the last row repeats the first."""


class CardMirror:
    """The band near the rim of one photo, ready to be compared with domes."""

    def __init__(self, light: GreyImage, card: CardFit, outline: DomeOutline) -> None:
        """Unroll the band.

        Parameters
        ----------
        light : ndarray of shape (H, W)
            float32 linear luminance of the whole photo.
        card : CardFit
            Of the frame card.
        outline : DomeOutline
        """
        self._light = light
        self._card = card
        self._band = _unroll(light, card, outline)
        self._domes = DomesOfOutline(outline, card)
        field, outer = min(card.spec.clear_field_mm), max(card.spec.outer_size_mm)
        self._near_mm = (field / 2 - MIRROR_INSIDE_MM) * card.print_scale_ratio
        self._far_mm = (outer / 2 + MIRROR_BEYOND_MM) * card.print_scale_ratio

    def evidence(self, ring_mm: float, rise_mm: float) -> float:
        """Log likelihood of a dome's mirror image over that of no mirror image, samples taken as independent.

        How strong the mirror image is, is left to the photo: a frosted or coated surface mirrors less.

        Parameters
        ----------
        ring_mm, rise_mm : float
            Height of the widest ring above the card, and from there to the top.
        """
        centre, shape = self._domes.at(ring_mm, rise_mm)
        expected, seen = self._mirror_image(centre, shape)
        weighted = self._band.weight * expected * seen
        agreement, size = float((weighted * self._band.light).sum()), float((weighted * expected).sum())
        strength = min(max(agreement / max(size, 1e-12), 0.0), MIRROR_STRENGTH_MAX)
        return strength * agreement - strength**2 * size / 2

    @property
    def usual_width_mm(self) -> float:
        """Mean width of the dome of usual shape with this outline."""
        flat = self._domes.flat_width_mm
        return self.width_mm(RING_OF_WIDTH_RATIO * flat, RISE_OF_WIDTH_RATIO * flat)

    def width_mm(self, ring_mm: float, rise_mm: float) -> float:
        """Mean width of the dome with this outline and these heights."""
        _, shape = self._domes.at(ring_mm, rise_mm)
        return float(2 / np.sqrt(np.linalg.det(shape[:2, :2])))

    def _mirror_image(self, centre: FloatArray, shape: FloatArray) -> tuple[GreyImage, GreyImage]:
        """Mirror image on the band's grid without its smooth part, and where it shows the card's frame (0 or 1)."""
        band, card = self._band, self._card
        start = (card.camera_position_mm - centre) @ shape.T
        along = band.directions @ shape.T
        square, half = (along**2).sum(axis=1), along @ start
        under = np.maximum(half**2 - square * (start @ start - 1), 0)
        unit = start + ((-half - np.sqrt(under)) / square)[:, None] * along
        unit /= np.linalg.norm(unit, axis=1, keepdims=True)
        normals = unit @ shape
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        points = unit @ np.linalg.inv(shape).T + centre
        cos_in = np.clip(-(normals * band.directions).sum(axis=1), 1e-3, 1)
        mirrored = band.directions + 2 * cos_in[:, None] * normals
        falls = mirrored[:, 2] < -_LEAST_FALL
        reach = -points[:, 2] / np.where(falls, mirrored[:, 2], -1.0)
        flat = points[:, :2] + reach[:, None] * mirrored[:, :2]
        flat = np.clip(np.where(falls[:, None], flat, np.sign(mirrored[:, :2]) * _FAR_MM), -_FAR_MM, _FAR_MM)
        source = card.project_mm(np.column_stack([flat, np.zeros(len(flat))]))
        x, y, share, distance = (
            np.asarray(_BY_DIRECTION @ values.reshape(band.shape).astype(np.float32) @ _BY_RADIUS)
            for values in (source[:, 0], source[:, 1], fresnel_reflectance(cos_in), np.abs(flat).max(axis=1))
        )
        image = cv2.remap(self._light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE) * share
        seen = ((distance > self._near_mm) & (distance < self._far_mm)).astype(np.float32)
        return _without_smooth(_blurred(image, (MIRROR_BLUR, MIRROR_BLUR))), seen


_LEAST_FALL = 0.03  # Source: a flatter ray meets the table over a metre away.
_FAR_MM = 400.0  # Source: beyond the table that a photo of the card shows.


def fresnel_reflectance(cos_in: FloatArray) -> FloatArray:
    """Share of unpolarised light mirrored by glass at this cosine of incidence, same shape."""
    cos_out = np.sqrt(1 - (1 - cos_in**2) / GLASS_INDEX**2)
    across = ((cos_in - GLASS_INDEX * cos_out) / (cos_in + GLASS_INDEX * cos_out)) ** 2
    along = ((GLASS_INDEX * cos_in - cos_out) / (GLASS_INDEX * cos_in + cos_out)) ** 2
    return np.asarray((across + along) / 2)


def _unroll(light: GreyImage, card: CardFit, outline: DomeOutline) -> _Band:
    rim = _even_contour(outline.contour_px, MIRROR_DIRECTIONS)
    middle = outline.contour_px.mean(axis=0)
    radii = np.linspace(MIRROR_FROM, MIRROR_TO, MIRROR_RADII)
    places = middle + radii[None, :, None] * (rim - middle)[:, None]
    x, y = (np.ascontiguousarray(places[..., k], dtype=np.float32) for k in range(2))
    shown = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    band = _without_smooth(np.asarray(shown, dtype=np.float32))
    variance = _blurred(band**2, MIRROR_VARIANCE)
    weight = 1 / (variance + MIRROR_VARIANCE_FLOOR * np.median(variance) + 1e-12)
    coarse = np.concatenate([places[:: MIRROR_EVERY[0], :: MIRROR_EVERY[1]], places[:1, :: MIRROR_EVERY[1]]])
    _, directions = card.rays_mm(coarse.reshape(-1, 2))
    return _Band(band, np.asarray(weight, dtype=np.float32), directions, (coarse.shape[0], coarse.shape[1]))


def _even_contour(contour_px: PointsPx, n_points: int) -> PointsPx:
    """`n_points` of a closed contour at even steps of its index."""
    at = np.arange(n_points) * len(contour_px) / n_points
    before = at.astype(int)
    share = (at - before)[:, None]
    return np.asarray(contour_px[before] * (1 - share) + contour_px[(before + 1) % len(contour_px)] * share)


def _between(n_fine: int, every: int, n_coarse: int) -> GreyImage:
    """Matrix (n_coarse, n_fine) that interpolates from every so many places, held at the end."""
    at = np.minimum(np.arange(n_fine) / every, n_coarse - 1)
    return np.asarray(np.maximum(1 - np.abs(at[None] - np.arange(n_coarse)[:, None]), 0), dtype=np.float32)


_BY_DIRECTION = _between(MIRROR_DIRECTIONS, MIRROR_EVERY[0], MIRROR_DIRECTIONS // MIRROR_EVERY[0] + 1).T.copy()
_BY_RADIUS = _between(MIRROR_RADII, MIRROR_EVERY[1], -(-MIRROR_RADII // MIRROR_EVERY[1]))


def _blurred(band: GreyImage, spread: tuple[float, float]) -> GreyImage:
    """Gaussian blur over radii and (closed) directions."""
    reach = int(4 * spread[1]) + 1
    closed = np.concatenate([band[-reach:], band, band[:reach]])
    return np.asarray(cv2.GaussianBlur(closed, (0, 0), sigmaX=spread[0], sigmaY=spread[1])[reach:-reach])


def _without_smooth(band: GreyImage) -> GreyImage:
    """The band less its smooth part, and less what goes evenly round the rim (the rim itself, mirrored lamps)."""
    fine = band - _blurred(band, MIRROR_SMOOTH)
    return np.asarray(fine - _EVEN.T @ (_EVEN @ fine), dtype=np.float32)


def _even_waves() -> GreyImage:
    """Orthonormal waves (2 MIRROR_EVEN_WAVES + 1, directions) of none to MIRROR_EVEN_WAVES turns round the rim."""
    turn = np.arange(MIRROR_DIRECTIONS) * 2 * np.pi / MIRROR_DIRECTIONS
    waves = [np.ones_like(turn)]
    for k in range(1, MIRROR_EVEN_WAVES + 1):
        waves += [np.cos(k * turn), np.sin(k * turn)]
    rows = np.array(waves)
    return np.asarray(rows / np.linalg.norm(rows, axis=1, keepdims=True), dtype=np.float32)


_EVEN = _even_waves()
