"""Which dome mirrors the card in the way that the photo shows near its rim.

Near the rim the glass leans so much that it mirrors the card round it. Where each spot of the card appears there
depends on how high the widest ring lies and how much the dome rises above it, and on nothing else that is not
known already. So the mirror image of any dome is predicted from the photo itself (the ray is mirrored, and the photo
says what lies where it meets the card), and held against what the photo shows there.
"""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage
from calib.card_fit import CardFit
from grader.outline.constants import (
    MIRROR_BEYOND_MM,
    MIRROR_BLUR,
    MIRROR_HALVINGS,
    MIRROR_INSIDE_MM,
    MIRROR_SAMPLES_AS_ONE,
    MIRROR_SLOPE_STEP_RATIO,
    MIRROR_STEP_MAX_RATIO,
    MIRROR_STEPS,
    MIRROR_STRENGTH_MAX,
    MIRROR_TEXEL_MM,
    RING_OF_WIDTH_RATIO,
    RISE_OF_WIDTH_RATIO,
)
from grader.outline.dome_view import DomeOutline
from grader.outline.domes_of_outline import DomesOfOutline
from grader.outline.fresnel import fresnel_reflectance
from grader.outline.mirror_band import between_nodes, blurred, unroll, widened, without_smooth
from grader.outline.surface import meet_dome

_LEAST_FALL = 0.03  # Source: a flatter ray meets the table over a metre away.
_FAR_MM = 400.0  # Source: beyond the table that a photo of the card shows.


@dataclass(frozen=True, slots=True, eq=False)
class MirrorFit:
    """The dome whose mirror image fits best, and how sure it is."""

    place: FloatArray
    """(3,) height of the widest ring above the card and rise from there to the top, mm; shift of the outline."""
    covariance: FloatArray
    """(3, 3) of the three, to first order."""
    score: float
    """Log odds over no mirror image, see `CardMirror.score`."""


class CardMirror:
    """The ring near the rim of one photo, ready to be compared with domes."""

    def __init__(self, light: GreyImage, card: CardFit, outline: DomeOutline) -> None:
        """Unroll the ring.

        Parameters
        ----------
        light : ndarray of shape (H, W)
            float32 linear luminance of the whole photo.
        card : CardFit
            Of the frame card.
        outline : DomeOutline
        """
        self._card = card
        self._small, self._small_ratio = _reduced(light, card)
        self._band = unroll(light, outline.contour_px)
        self._directions = card.rays_mm(self._band.nodes_px)[1]
        self._domes = DomesOfOutline(outline.contour_px, card)
        middle = outline.contour_px.mean(axis=0)
        radius_px = float(np.linalg.norm(outline.contour_px - middle, axis=1).mean())
        self._wider_ratio = outline.u_edge_px / radius_px
        self._wider_domes = DomesOfOutline(middle + (outline.contour_px - middle) * (1 + self._wider_ratio), card)
        field, outer = min(card.spec.clear_field_mm), max(card.spec.outer_size_mm)
        self._near_mm = (field / 2 - MIRROR_INSIDE_MM) * card.print_scale_ratio
        self._far_mm = (outer / 2 + MIRROR_BEYOND_MM) * card.print_scale_ratio

    @property
    def usual_width_mm(self) -> float:
        """Mean width of the dome of usual shape with this outline."""
        flat = self._domes.flat_width_mm
        return self.width_mm(RING_OF_WIDTH_RATIO * flat, RISE_OF_WIDTH_RATIO * flat)

    def width_mm(self, ring_mm: float, rise_mm: float) -> float:
        """Mean width of the dome with this outline and these heights."""
        _, shape = self._domes.at(ring_mm, rise_mm)
        return float(2 / np.sqrt(np.linalg.det(shape[:2, :2])))

    def evidence(self, ring_mm: float, rise_mm: float) -> float:
        """Log likelihood of a dome's mirror image over that of no mirror image, samples taken as independent.

        Both pictures are blurred towards the rim first, so that near misses count as well. How strong the mirror
        image is, is left to the photo: a frosted or coated surface mirrors less.

        Parameters
        ----------
        ring_mm, rise_mm : float
            Height of the widest ring above the card, and from there to the top.
        """
        expected, seen = self._mirror_image(*self._domes.at(ring_mm, rise_mm))
        expected = widened(expected)
        return _strength_and_evidence(self._band.wide_light, expected, self._band.wide_weight * seen)[1]

    def refine(self, ring_mm: float, rise_mm: float) -> MirrorFit:
        """The dome near the given one whose mirror image fits best.

        Gauss-Newton steps, halved until they help, on ring, rise and a common shift of the outline in units of its
        own doubt, with the strength that fits best in each.
        """
        limit = np.array([1.0, 1.0, np.inf]) * MIRROR_STEP_MAX_RATIO * self._domes.flat_width_mm
        place = np.array([ring_mm, rise_mm, 0.0])
        score = self.score(place)
        for _ in range(MIRROR_STEPS):
            normal, pull = self._equations(place)
            step = np.clip(np.linalg.solve(normal, pull)[:3], -limit, limit)
            for _ in range(MIRROR_HALVINGS):
                moved_score = self.score(place + step)
                if moved_score > score:
                    break
                step = step / 2
            else:
                break
            place, score = place + step, moved_score
        covariance = np.linalg.inv(self._equations(place)[0])[:3, :3]
        return MirrorFit(place, np.asarray(covariance, dtype=np.float64), score)

    def score(self, place: FloatArray) -> float:
        """Log odds of a dome by its mirror image and its outline, samples joined as they depend on each other.

        Parameters
        ----------
        place : ndarray of shape (3,)
            Ring and rise in mm, shift of the outline in units of its doubt.
        """
        if not (place[0] > 0 and place[1] > 0):
            return -np.inf
        expected, seen = self._shifted_image(place)
        _, evidence = _strength_and_evidence(self._band.light, expected, self._band.weight * seen)
        return evidence / MIRROR_SAMPLES_AS_ONE - float(place[2]) ** 2 / 2

    def _equations(self, place: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Normal equations (4, 4) and (4,) for ring, rise, shift and strength at a place."""
        expected, seen = self._shifted_image(place)
        weight = self._band.weight * seen
        strength, _ = _strength_and_evidence(self._band.light, expected, weight)
        nudge = MIRROR_SLOPE_STEP_RATIO * self._domes.flat_width_mm
        columns = []
        for k, size in enumerate((nudge, nudge, 1.0)):
            apart = np.eye(3)[k] * size
            higher, lower = self._shifted_image(place + apart)[0], self._shifted_image(place - apart)[0]
            columns.append((strength / (2 * size) * (higher - lower)).ravel())
        slopes = np.stack([*columns, expected.ravel()]).astype(np.float64)
        weighted = slopes * (weight.ravel() / MIRROR_SAMPLES_AS_ONE)
        normal = weighted @ slopes.T + np.diag([_TINY, _TINY, 1.0, _TINY])
        pull = weighted @ (self._band.light - strength * expected).ravel()
        pull[2] -= place[2]
        return normal, pull

    def _shifted_image(self, place: FloatArray) -> tuple[GreyImage, GreyImage]:
        """Mirror image for ring, rise and a shift of the outline."""
        centre, shape = self._domes.at(place[0], place[1])
        wider_centre, wider_shape = self._wider_domes.at(place[0], place[1])
        share = place[2]
        return self._mirror_image(centre + share * (wider_centre - centre), shape + share * (wider_shape - shape))

    def _mirror_image(self, centre: FloatArray, shape: FloatArray) -> tuple[GreyImage, GreyImage]:
        """Mirror image on the band's grid without its smooth part, and where it shows the card's frame (0 or 1)."""
        points, normals = meet_dome(self._card.camera_position_mm, self._directions, centre, shape)
        cos_in = np.clip(-(normals * self._directions).sum(axis=1), 1e-3, 1)
        mirrored = self._directions + 2 * cos_in[:, None] * normals
        falls = mirrored[:, 2] < -_LEAST_FALL
        reach = -points[:, 2] / np.where(falls, mirrored[:, 2], -1.0)
        flat = points[:, :2] + reach[:, None] * mirrored[:, :2]
        flat = np.clip(np.where(falls[:, None], flat, np.sign(mirrored[:, :2]) * _FAR_MM), -_FAR_MM, _FAR_MM)
        source = (self._card.project_mm(np.column_stack([flat, np.zeros(len(flat))])) + 0.5) * self._small_ratio - 0.5
        x, y, share, across, up = (
            between_nodes(values)
            for values in (source[:, 0], source[:, 1], fresnel_reflectance(cos_in), flat[:, 0], flat[:, 1])
        )
        image = cv2.remap(self._small, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE) * share
        distance = np.maximum(np.abs(across), np.abs(up))
        seen = ((distance > self._near_mm) & (distance < self._far_mm)).astype(np.float32)
        return without_smooth(blurred(np.asarray(image, dtype=np.float32), MIRROR_BLUR)), seen


def _reduced(light: GreyImage, card: CardFit) -> tuple[GreyImage, float]:
    """The photo averaged down to what a mirror image near the rim can show, and its px for a px of the photo."""
    px_per_mm = card.camera.focal_px / float(card.camera_position_mm[2])
    ratio = min(1.0, 1 / (MIRROR_TEXEL_MM * px_per_mm))
    size = (max(round(light.shape[1] * ratio), 1), max(round(light.shape[0] * ratio), 1))
    small = cv2.resize(light, size, interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.float32), ratio


_TINY = 1e-9  # Source: keeps the equations solvable where nothing is seen, far below any real weight.


def _strength_and_evidence(light: GreyImage, expected: GreyImage, weight: GreyImage) -> tuple[float, float]:
    """Strength of a mirror image that fits best, 0 to MIRROR_STRENGTH_MAX, and the log likelihood it gains."""
    weighted = weight * expected
    agreement, size = float((weighted * light).sum()), float((weighted * expected).sum())
    strength = min(max(agreement / max(size, 1e-12), 0.0), MIRROR_STRENGTH_MAX)
    return strength, strength * agreement - strength**2 * size / 2
