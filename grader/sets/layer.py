"""On the glass or in it: what several views of one mark, and its kind, say."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.arrays import FloatArray
from grader.marks.mark import MarkKind
from grader.sets.constants import (
    DEEPEST_RATIO,
    LAYER_SURE,
    LAYER_SURE_ALONE,
    LONG_LINE_RATIO,
    PARALLAX_CLIP,
    SURFACE_BY_KIND,
    U_LINE_RATIO,
    U_PLACE_RATIO,
    U_PLACE_SIDE_RATIO,
)
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import Sighting

Layer = Literal['surface', 'inside', 'undecided']
KindOdds = tuple[tuple[MarkKind, float], ...]

BY_PARALLAX = "parallax between photos"
BY_KIND = "kind of mark"

# Log of the ratio below which parallax tells nothing worth naming.
# Source: a factor of 1.6, less than one word of likelihood.
PARALLAX_TELLS = 0.5


@dataclass(frozen=True, slots=True)
class LayerJudgement:
    """Where a mark lies in depth."""

    layer: Layer
    """The layer, or that it is undecided."""
    surface_odds: float
    """Probability, 0 to 1, that it lies on the surface."""
    basis: tuple[str, ...]
    """What tells it, in words."""
    depth_ratio: float | None
    """Depth of a mark inside along the ray of its best view, in radii; None where no two views tell it."""


@dataclass(frozen=True, slots=True, eq=False)
class Parallax:
    """How two or more views of a mark agree with a place on the surface, and with one inside."""

    log_ratio: float
    """Log of the likelihood of the surface over that of the inside, cut to what one look may say."""
    meeting: FloatArray | None
    """(3,) where the rays meet best inside the glass, in radii; None with one view or no such place."""


def judge_layer(kind_odds: KindOdds, parallax: Parallax, surest: Sighting) -> LayerJudgement:
    """Layer of a mark by the views of it, beginning with what its kind says.

    Parameters
    ----------
    kind_odds
        Odds of each kind, from all photos together.
    parallax : Parallax
    surest : Sighting
        The view along which a depth is told.
    """
    by_kind = surface_odds_of(kind_odds)
    odds = _logistic(_log_odds(by_kind) + parallax.log_ratio)
    tells = abs(parallax.log_ratio) >= PARALLAX_TELLS
    least = LAYER_SURE if tells else LAYER_SURE_ALONE
    layer = _named(odds, least)
    depth = None
    if layer == 'inside' and parallax.meeting is not None:
        depth = max(float((parallax.meeting - surest.entry) @ surest.ray), 0.0)
    return LayerJudgement(layer, odds, (BY_PARALLAX, BY_KIND) if tells else (BY_KIND,), depth)


def judge_layer_alone(kind_odds: KindOdds) -> LayerJudgement:
    """Layer of a mark that one photo shows: named only where its kind is clear."""
    odds = surface_odds_of(kind_odds)
    return LayerJudgement(_named(odds, LAYER_SURE_ALONE), odds, (BY_KIND,), None)


def _named(surface_odds: float, least: float) -> Layer:
    return 'surface' if surface_odds >= least else 'inside' if surface_odds <= 1 - least else 'undecided'


def surface_odds_of(kind_odds: KindOdds) -> float:
    """Probability that a mark of such kinds lies on the surface, before any parallax."""
    return sum(odds * SURFACE_BY_KIND[kind.value] for kind, odds in kind_odds) / sum(odds for _, odds in kind_odds)


def kinds_given_parallax(kind_odds: KindOdds, parallax: Parallax) -> KindOdds:
    """Odds of each kind after the views were compared: kinds of the other layer lose."""
    ratio = math.exp(parallax.log_ratio)
    raised = [(kind, odds * (SURFACE_BY_KIND[kind.value] * (ratio - 1) + 1)) for kind, odds in kind_odds]
    total = sum(odds for _, odds in raised)
    return tuple((kind, odds / total) for kind, odds in raised)


def parallax_of(sightings: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> Parallax:
    """Compare the views of one mark.

    On the surface, all rays enter the glass at one point. Inside, they meet at one point behind it, each bent where it
    enters. Misses are taken as normal; the depth, which may be anything, is integrated over. Long lines say nothing: of
    each view another part may be missing.
    """
    spots = [one for one in sightings if not one.is_line or one.extent < LONG_LINE_RATIO]
    sightings = [one for k, one in enumerate(spots) if one.photo not in {before.photo for before in spots[:k]}]
    if len(sightings) < 2:
        return Parallax(0.0, None)
    entries, rays = np.array([one.entry for one in sightings]), np.array([one.ray for one in sightings])
    weights = 1 / _u_places(sightings, photos, turns) ** 2
    middle = np.average(entries, axis=0, weights=weights)
    surface_misfit = float((weights * ((entries - middle) ** 2).sum(axis=1)).sum())
    across = np.eye(3) - rays[:, :, None] * rays[:, None, :]
    normal = (weights[:, None, None] * across).sum(axis=0)
    direction = np.average(rays, axis=0, weights=weights)
    direction /= np.linalg.norm(direction)
    # Rays that are all but parallel leave the depth open; a weak pull to the entry keeps the solution finite.
    pull = np.outer(direction, direction) / DEEPEST_RATIO**2
    right = (weights[:, None, None] * across @ entries[:, :, None]).sum(axis=0)[:, 0] + pull @ middle
    meeting = np.linalg.solve(normal + pull, right)
    missed = np.einsum('ni,nij,nj->n', meeting - entries, across, meeting - entries)
    inside_misfit = float((weights * missed).sum())
    spread = math.sqrt(float(direction @ np.linalg.solve(normal + pull, direction)))
    depth = float((meeting - middle) @ direction)
    log_ratio = 0.5 * (inside_misfit - surface_misfit) - _log_share_inside(depth, spread)
    in_glass = 0.0 < depth < DEEPEST_RATIO
    return Parallax(float(np.clip(log_ratio, -PARALLAX_CLIP, PARALLAX_CLIP)), meeting if in_glass else None)


def _log_share_inside(depth: float, spread: float) -> float:
    """Log of a normal density of the depth, over its peak, averaged over all depths that a piece has."""
    root = spread * math.sqrt(2)
    reach = math.erf((DEEPEST_RATIO - depth) / root) + math.erf(depth / root)
    return math.log(max(spread * math.sqrt(math.pi / 2) * reach / DEEPEST_RATIO, 1e-12))


def _u_places(sightings: Sequence[Sighting], photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> FloatArray:
    """Standard uncertainty of each view's place, in radii, (N,)."""
    mixed = len({photos[one.photo].is_from_above for one in sightings}) > 1
    from_side = any(not photos[one.photo].is_from_above for one in sightings)
    spot = U_PLACE_SIDE_RATIO if mixed or from_side else U_PLACE_RATIO
    return np.array(
        [
            math.hypot(
                spot,
                turns[one.photo].u_turn_rad * float(np.hypot(*one.place[:2])),
                U_LINE_RATIO * float(np.linalg.norm(np.ptp(one.outline, axis=0))) if one.is_line else 0.0,
            )
            for one in sightings
        ]
    )


def _log_odds(ratio: float) -> float:
    return math.log(ratio / (1 - ratio))


def _logistic(log_odds: float) -> float:
    return 1 / (1 + math.exp(-log_odds))
