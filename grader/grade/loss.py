"""What one mark takes from a piece: from sizes relative to the piece to a loss with its doubt.

The *loss* of marks adds up; the score is 100 exp(-loss). So each mark takes a share of what the others left, in
whatever order, and many small ones approach 0 without ever passing it.
"""

import math
from dataclasses import dataclass

import numpy as np

from calib.measured import Measured, combine
from grader.grade.rules import GradeRules, LineCost, PlaceWeights, SpotCost
from grader.marks.mark import Mark, MarkKind


@dataclass(frozen=True, slots=True)
class RelativeSize:
    """A length as a share of the piece's largest width."""

    ratio: float
    """Best estimate, 0 or more."""
    u_relative: float
    """Standard uncertainty as a share of the ratio itself."""


@dataclass(frozen=True, slots=True)
class KindLoss:
    """Loss of a mark if it is of one kind."""

    kind: MarkKind
    odds: float
    """Probability that the mark is there and of this kind, as the rules count it."""
    loss: float
    """Loss at the best estimate of its size, 0 or more."""
    u_relative: float
    """Standard uncertainty of the loss as a share of itself."""


@dataclass(frozen=True, slots=True)
class PieceWidth:
    """Largest width of the piece, in the units that the photo allows."""

    mm: Measured | None
    """Largest width on the ground, ``None`` without a card."""
    px: float
    """Largest width in the photo."""

    def __post_init__(self) -> None:
        if not self.px > 0.0 or not math.isfinite(self.px):
            raise ValueError(f'the width in px must be positive, got {self.px}')
        if self.mm is not None and not self.mm.value > 0.0:
            raise ValueError(f'the width in mm must be positive, got {self.mm.value}')

    def relative(self, size_mm: Measured | None, size_px: float, u_without_card: float) -> RelativeSize:
        """Return a size as a share of the width; causes of doubt that both share cancel."""
        if size_mm is None or self.mm is None:
            return RelativeSize(_checked(size_px) / self.px, u_without_card)
        size, width = _checked(size_mm.value), self.mm.value
        if size == 0.0:
            return RelativeSize(0.0, 0.0)
        ratio = combine(size / width, ((1.0 / width, size_mm), (-size / width**2, self.mm)), unit='')
        return RelativeSize(ratio.value, ratio.u / ratio.value)


def mark_losses(mark: Mark, width: PieceWidth, rules: GradeRules) -> tuple[KindLoss, ...]:
    """Return what a mark would take for each kind that it may be, largest odds first."""
    weight = place_weight(mark, rules.place)
    counted = counted_confidence(mark.confidence, rules.doubt.least_confidence)
    losses = []
    for kind, odds in sorted(mark.kind_odds, key=lambda entry: (-entry[1], entry[0])):
        loss, u_relative = _loss_of_kind(mark, kind, width, rules)
        losses.append(KindLoss(kind, counted * odds, weight * loss, u_relative))
    return tuple(losses)


def counted_confidence(confidence: float, least_confidence: float) -> float:
    """Return how far a mark counts: 0 up to the least confidence, then rising evenly to 1."""
    return max(0.0, (confidence - least_confidence) / (1.0 - least_confidence))


def place_weight(mark: Mark, place: PlaceWeights) -> float:
    """Return the weight, 0 to 1, of the place where a mark lies."""
    if mark.radius_ratio is not None:
        radii, weights = zip(*place.weights_by_radius, strict=True)
        return float(np.interp(mark.radius_ratio, radii, weights))
    return place.weights_by_zone.get(mark.zone, place.weight_unknown)


def spot_loss(cost: SpotCost, diameter_ratio: float) -> float:
    """Return the loss of a spot in the middle of the crown."""
    return float(_reference_loss(cost.cost_points) * (diameter_ratio / cost.reference_ratio) ** cost.size_power)


def line_loss(cost: LineCost, length_ratio: float, width_ratio: float) -> float:
    """Return the loss of a line in the middle of the crown."""
    low, high = cost.width_ratio_range
    width = min(max(width_ratio, low), high) / cost.reference_width_ratio
    length = length_ratio / cost.reference_length_ratio
    return float(_reference_loss(cost.cost_points) * length**cost.length_power * width**cost.width_power)


def _loss_of_kind(mark: Mark, kind: MarkKind, width: PieceWidth, rules: GradeRules) -> tuple[float, float]:
    cost: LineCost | SpotCost = getattr(rules.kinds, kind.value)
    u_px = rules.doubt.u_size_ratio_without_card
    if isinstance(cost, LineCost):
        length = width.relative(mark.length_mm, mark.length_px, u_px)
        across = width.relative(mark.width_mm, mark.width_px, u_px)
        u_relative = math.hypot(cost.length_power * length.u_relative, cost.width_power * across.u_relative)
        return line_loss(cost, length.ratio, across.ratio), u_relative
    diameter = width.relative(mark.diameter_mm, mark.diameter_px, u_px)
    return spot_loss(cost, diameter.ratio), cost.size_power * diameter.u_relative


def _reference_loss(cost_points: float) -> float:
    return -math.log1p(-cost_points / 100.0)


def _checked(size: float) -> float:
    if not math.isfinite(size) or size < 0.0:
        raise ValueError(f'a size must be finite and not negative, got {size}')
    return size
