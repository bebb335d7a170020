"""How high the widest ring lies, as far as one photo and what is known beforehand tell."""

import math

import numpy as np

from calib.arrays import FloatArray, RgbImage
from calib.card_fit import CardFit
from calib.linear_light import linear_grey
from grader.outline.card_mirror import CardMirror
from grader.outline.constants import (
    MIRROR_FIRST_FOOT,
    MIRROR_FIRST_RISE,
    MIRROR_ODDS,
    MIRROR_ROUNDS,
    MIRROR_SAMPLES_AS_ONE,
    MIRROR_TELLS_RATIO,
    TOP_VIEW_TILT_MAX_DEG,
)
from grader.outline.dome_view import DomeOutline, NoCard
from grader.outline.height import HeightKnowledge, SeenHeight


def judge_height(
    rgb: RgbImage, card: CardFit | NoCard, outline: DomeOutline, height: HeightKnowledge
) -> HeightKnowledge:
    """Narrow what is known of the heights by the card's mirror image in the glass.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        uint8 sRGB.
    card : CardFit or NoCard
    outline : DomeOutline
    height : HeightKnowledge
        What is known beforehand: comes back as it is without the frame card, or from the side.
    """
    if isinstance(card, NoCard) or min(card.spec.clear_field_mm) <= 0 or not _is_from_above(card):
        return height
    mirror = CardMirror(linear_grey(rgb), card, outline)
    return _weigh(mirror, height)


def _is_from_above(card: CardFit) -> bool:
    eye = card.camera_position_mm
    return bool(np.degrees(np.arctan2(np.hypot(eye[0], eye[1]), eye[2])) <= TOP_VIEW_TILT_MAX_DEG)


class _Grid:
    """Domes by foot (ring over rise) and rise (over half the usual width), and what speaks for each."""

    def __init__(self, mirror: CardMirror, height: HeightKnowledge, foot: FloatArray, rise: FloatArray) -> None:
        self.foot, self.rise = (values.ravel() for values in np.meshgrid(foot, rise, indexing='ij'))
        self.rise_mm = self.rise * mirror.usual_width_mm / 2
        self.ring_mm = self.foot * self.rise_mm
        widths = [mirror.width_mm(*one) for one in zip(self.ring_mm, self.rise_mm, strict=True)]
        self.evidence = np.array([mirror.evidence(*one) for one in zip(self.ring_mm, self.rise_mm, strict=True)])
        self.log_odds = np.array(
            [height.log_odds(*one) for one in zip(self.ring_mm, self.rise_mm, widths, strict=True)]
        )

    def weights(self, samples_as_one: float) -> FloatArray:
        """Odds of each dome after looking, summing to 1."""
        seen = MIRROR_ODDS * np.exp(np.minimum(self.evidence / samples_as_one - self._top(samples_as_one), 0))
        blind = (1 - MIRROR_ODDS) * math.exp(-self._top(samples_as_one))
        odds = np.exp(self.log_odds - self.log_odds.max()) * (seen + blind)
        return np.asarray(odds / odds.sum())

    def _top(self, samples_as_one: float) -> float:
        return max(float(self.evidence.max()) / samples_as_one, 0.0)


def _weigh(mirror: CardMirror, height: HeightKnowledge) -> HeightKnowledge:
    """Mean and standard deviation of the heights over all domes, each by its odds before and after looking."""
    grid = _Grid(mirror, height, np.linspace(*MIRROR_FIRST_FOOT), np.linspace(*MIRROR_FIRST_RISE))
    _, u_before = _moments(grid.ring_mm, _blind(grid))
    for n_steps, span, samples_as_one in MIRROR_ROUNDS:
        weights = grid.weights(samples_as_one)
        axes = []
        for values in (grid.foot, grid.rise):
            middle, spread = _moments(values, weights)
            reach = max(span * spread, 0.6 * _step(values))
            axes.append(np.linspace(max(middle - reach, values.min()), min(middle + reach, values.max()), n_steps))
        grid = _Grid(mirror, height, axes[0], axes[1])
    weights = grid.weights(MIRROR_SAMPLES_AS_ONE)
    ring, u_ring = _moments(grid.ring_mm, weights)
    rise, _ = _moments(grid.rise_mm, weights)
    u_ring = math.hypot(u_ring, _step(grid.ring_mm) / math.sqrt(12))
    if u_ring > MIRROR_TELLS_RATIO * u_before:
        return height
    return SeenHeight(ring, u_ring, rise, "mirror image of the card in the glass")


def _blind(grid: _Grid) -> FloatArray:
    odds = np.exp(grid.log_odds - grid.log_odds.max())
    return np.asarray(odds / odds.sum())


def _moments(values: FloatArray, weights: FloatArray) -> tuple[float, float]:
    middle = float((values * weights).sum())
    return middle, math.sqrt(max(float((weights * (values - middle) ** 2).sum()), 0.0))


def _step(values: FloatArray) -> float:
    """Mean distance between neighbouring different values."""
    distinct = np.unique(np.round(values, 9))
    return float(np.ptp(distinct) / max(len(distinct) - 1, 1))
