"""How high the widest ring lies, as far as one photo and what is known beforehand tell."""

import math

import numpy as np

from calib.arrays import FloatArray, RgbImage
from calib.card_fit import CardFit
from calib.linear_light import linear_grey
from grader.outline.card_mirror import CardMirror, MirrorFit
from grader.outline.constants import (
    MIRROR_FIRST_FOOT,
    MIRROR_FIRST_RISE,
    MIRROR_NODES,
    MIRROR_NODES_REACH,
    MIRROR_ODDS,
    MIRROR_STARTS,
    MIRROR_SURE_EVIDENCE,
    MIRROR_TELLS_RATIO,
    MIRROR_WIDE_AS_ONE,
)
from grader.outline.dome_view import DomeOutline, NoCard
from grader.outline.height import FromSides, HeightKnowledge, SeenHeight
from grader.outline.side_view import is_side_view

_SOURCE = "mirror image of the card in the glass"


def judge_height(
    rgb: RgbImage, card: CardFit | NoCard, outline: DomeOutline, height: HeightKnowledge
) -> HeightKnowledge:
    """Narrow what is known of the heights by the card's mirror image in the glass.

    The outcome is weighed with what was known beforehand; a photo without a usable mirror image (facets, a busy
    design, a piece that is not on the frame card or is seen from the side) changes nothing; nor can it add to what
    photos from the side tell.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        uint8 sRGB.
    card : CardFit or NoCard
    outline : DomeOutline
    height : HeightKnowledge
        What is known beforehand.
    """
    if isinstance(card, NoCard) or min(card.spec.clear_field_mm) <= 0 or is_side_view(card):
        return height
    if isinstance(height, FromSides):
        return height
    mirror = CardMirror(linear_grey(rgb), card, outline)
    domes = _FirstDomes(mirror, height)
    fits = [mirror.refine(ring, rise) for ring, rise in domes.tops(MIRROR_STARTS)]
    best = max(fits, key=lambda fit: fit.score + _log_odds(fit.place[0], fit.place[1], mirror, height))
    if best.score > MIRROR_SURE_EVIDENCE:
        return _weighed_near(best, mirror, height)
    return domes.weighed(height)


def _log_odds(ring_mm: float, rise_mm: float, mirror: CardMirror, height: HeightKnowledge) -> float:
    if not (ring_mm > 0 and rise_mm > 0):
        return -math.inf
    return height.log_odds(ring_mm, rise_mm, mirror.width_mm(ring_mm, rise_mm))


class _FirstDomes:
    """Domes of all usual shapes, and what speaks for each."""

    def __init__(self, mirror: CardMirror, height: HeightKnowledge) -> None:
        foot, rise = np.linspace(*MIRROR_FIRST_FOOT), np.linspace(*MIRROR_FIRST_RISE)
        self.rise_mm = np.tile(rise * mirror.usual_width_mm / 2, (len(foot), 1))
        self.ring_mm = foot[:, None] * self.rise_mm
        places = list(zip(self.ring_mm.ravel(), self.rise_mm.ravel(), strict=True))
        self.evidence = np.array([mirror.evidence(*one) for one in places]).reshape(self.rise_mm.shape)
        self.evidence /= MIRROR_WIDE_AS_ONE
        self.log_odds = np.array([_log_odds(*one, mirror, height) for one in places]).reshape(self.rise_mm.shape)

    def tops(self, n_tops: int) -> list[tuple[float, float]]:
        """Ring and rise of the domes that stand out among their neighbours, the likeliest first."""
        score = np.pad(self.evidence + self.log_odds, 1, constant_values=-np.inf)
        around = np.max(
            [np.roll(score, (i, j), (0, 1)) for i in (-1, 0, 1) for j in (-1, 0, 1) if (i, j) != (0, 0)], axis=0
        )
        inner = (slice(1, -1), slice(1, -1))
        rows, columns = np.nonzero(score[inner] >= around[inner])
        order = np.argsort(-score[inner][rows, columns], kind='stable')[:n_tops]
        return [
            (float(self.ring_mm[i, j]), float(self.rise_mm[i, j]))
            for i, j in zip(rows[order], columns[order], strict=True)
        ]

    def weighed(self, height: HeightKnowledge) -> HeightKnowledge:
        """Mean and standard deviation over all domes, each by its odds before and after looking."""
        top = max(float(self.evidence.max()), 0.0)
        seen, blind = MIRROR_ODDS * np.exp(self.evidence - top), (1 - MIRROR_ODDS) * math.exp(-top)
        before = np.exp(self.log_odds - self.log_odds.max())
        _, u_before = _moments(self.ring_mm, before)
        ring, u_ring = _moments(self.ring_mm, before * (seen + blind))
        rise, _ = _moments(self.rise_mm, before * (seen + blind))
        return height if u_ring > MIRROR_TELLS_RATIO * u_before else SeenHeight(ring, u_ring, rise, _SOURCE)


def _weighed_near(fit: MirrorFit, mirror: CardMirror, height: HeightKnowledge) -> SeenHeight:
    """Mean and standard deviation of the heights round the best dome, weighed with what was known.

    The nodes lie along the axes of the fit's covariance; the outline's shift goes along as the fit says.
    """
    spread, axes = np.linalg.eigh(fit.covariance[:2, :2])
    along, across = (np.linspace(-MIRROR_NODES_REACH, MIRROR_NODES_REACH, n) for n in MIRROR_NODES)
    steps = np.stack(np.meshgrid(across, along, indexing='ij'), axis=-1).reshape(-1, 2)
    moves = (steps * np.sqrt(np.maximum(spread, 0))) @ axes.T
    shifts = moves @ np.linalg.solve(fit.covariance[:2, :2], fit.covariance[:2, 2])
    places = fit.place + np.column_stack([moves, shifts])
    log_odds = np.array([mirror.score(place) + _log_odds(place[0], place[1], mirror, height) for place in places])
    weights = np.exp(log_odds - log_odds.max())
    ring, u_ring = _moments(places[:, 0], weights)
    rise, _ = _moments(places[:, 1], weights)
    return SeenHeight(ring, u_ring, rise, _SOURCE)


def _moments(values: FloatArray, weights: FloatArray) -> tuple[float, float]:
    """Weighted mean and standard deviation."""
    share = weights / weights.sum()
    middle = float((values * share).sum())
    return middle, math.sqrt(float((share * (values - middle) ** 2).sum()))
