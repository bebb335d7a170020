"""From details that lie on each other to the odds that both are of one piece.

Two logistic models, fitted on rendered pieces before and after a journey and on strangers of the same make
(``tests/benchmark/fit_piece_odds.py``): one for a single detail, one for the design as a whole.
"""

import json
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from calib.arrays import FloatArray
from grader.compare.fine_match import FineMatch
from grader.compare.piece_colours import ColourMatch
from grader.compare.same_constants import (
    DETAIL_ODDS_CLIP,
    DETAILS_LEAST,
    ENERGY_MIDDLE,
    ENERGY_RANGE,
    OFF_FLOOR,
    OFF_MIDDLE,
)

ODDS_FILE = 'piece_odds_v1.json'
DETAIL_FEATURES = (
    'likeness',
    'likeness squared',
    'off',
    'likeness by energy',
    'off by energy',
    'energy',
    'off by likeness',
    'other light',
    'likeness in other light',
    'off in other light',
)
DESIGN_FEATURES = ('mean of details', 'worst details', 'score', 'colours left', 'white balance', 'other light')


@dataclass(frozen=True, slots=True, eq=False)
class Logistic:
    """Natural log-odds as a weighted sum of features."""

    offset: float
    """Log-odds where all features are 0."""
    weights: FloatArray
    """(F,) one a feature."""

    def log_odds(self, features: FloatArray) -> FloatArray:
        """Log-odds (N,) of features (N, F)."""
        return np.asarray(self.offset + features @ self.weights)


def detail_features(fine: FineMatch, *, other_light: bool) -> FloatArray:
    """What the odds of each detail rest on, (K, F), in the order of ``DETAIL_FEATURES``."""
    like = fine.likeness
    energy = np.log(np.clip(fine.energy, *ENERGY_RANGE) / ENERGY_MIDDLE)
    off = np.log((fine.off + OFF_FLOOR) / OFF_MIDDLE)
    other = np.full(len(like), float(other_light))
    return np.column_stack(
        [
            like,
            like * np.abs(like),
            off,
            like * energy,
            off * energy,
            energy,
            off * like,
            other,
            like * other,
            off * other,
        ]
    )


def detail_log_odds(fine: FineMatch, *, other_light: bool) -> FloatArray:
    """Log-odds (K,) of each detail, as if it were alone."""
    return detail_odds_of(_models()[0], detail_features(fine, other_light=other_light))


def detail_odds_of(model: Logistic, features: FloatArray) -> FloatArray:
    """Log-odds (K,) that a model gives details with features (K, F)."""
    return np.clip(model.log_odds(features), -DETAIL_ODDS_CLIP, DETAIL_ODDS_CLIP)


def design_features(
    details: FloatArray, energy: FloatArray, score: float, colours: ColourMatch, *, other_light: bool
) -> FloatArray:
    """What the odds of a design rest on, (F,), in the order of ``DESIGN_FEATURES``.

    Parameters
    ----------
    details, energy : ndarray of shape (K,)
        Log-odds of the details, and how much pattern each has.
    score : float
        Of the coarse match.
    """
    mean = worst = 0.0
    if len(details) >= DETAILS_LEAST:
        weight = np.clip(energy, ENERGY_RANGE[0], 0.1)
        mean = float((weight * details).sum() / weight.sum())
        worst = float(np.percentile(details, 20))
    return np.array([mean, worst, score, min(colours.left, 2.0), 10 * min(colours.offset, 0.3), float(other_light)])


def design_log_odds(features: FloatArray) -> float:
    """Log-odds of a design."""
    return float(_models()[1].log_odds(features[None])[0])


def probability_of(log_odds: float) -> float:
    """Probability of log-odds."""
    return 1 / (1 + math.exp(-min(max(log_odds, -50.0), 50.0)))


@cache
def _models() -> tuple[Logistic, Logistic]:
    """Models of a detail and of a design."""
    text = files('grader.compare').joinpath(ODDS_FILE).read_text(encoding='utf-8')
    stored = json.loads(text)
    return tuple(  # type: ignore[return-value]
        Logistic(float(stored[name]['offset']), np.array(stored[name]['weights'])) for name in ('detail', 'design')
    )
