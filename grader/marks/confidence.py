"""From the network's odds to what each region is, and how sure that is.

A softmax model of plain features of a region and of the company it is in (a design that looks like chips does so in
many places at once), fitted on rendered pieces that the network was not trained on
(``fixtures/mark_net/fit_confidence.py``), so that of the marks given 0.8 about 80 % are real.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np

from calib.arrays import FloatArray
from grader.marks.constants import LIKELY_PEAK, MOST_SPREADS, SHARPER, SIDE_DOUBT, SURE_PEAK, SURER
from grader.marks.mark import MarkKind
from grader.marks.mark_net import NETWORK_KINDS
from grader.marks.piece_crop import PieceCrop
from grader.marks.regions import Region

CONFIDENCE_FILE = 'confidence_v1.json'
FEATURES = (
    'peak',
    'mean',
    'size',
    'depth',
    'agreement',
    *(f'peak as {kind.value}' for kind in NETWORK_KINDS),
    *(f'share of {kind.value}' for kind in NETWORK_KINDS),
    'likely regions',
    'sure regions',
    'likely regions of its kind',
    'surer regions',
    'slenderness',
)
OUTCOMES = ('none', *(kind.value for kind in NETWORK_KINDS))


@dataclass(frozen=True, slots=True, eq=False)
class Judgement:
    """What a region is."""

    kind: MarkKind
    """The likeliest kind."""
    confidence: float
    """Probability, 0 to 1, that it is a mark at all."""
    kind_odds: FloatArray
    """Probability of each kind given that it is a mark, (5,), in the order of ``NETWORK_KINDS``."""


def judge_regions(regions: Sequence[Region], crop: PieceCrop, *, is_from_side: bool = False) -> tuple[Judgement, ...]:
    """Judge all regions of a photo, in their order; in photos from the side more is taken for a mark that is none."""
    if not regions:
        return ()
    chances = photo_chances(outcome_chances(region_features(regions, crop), _model()), is_from_side=is_from_side)
    judged = []
    for row in chances:
        odds = row[1:] / row[1:].sum()
        judged.append(Judgement(NETWORK_KINDS[int(np.argmax(odds))], float(1 - row[0]), odds))
    return tuple(judged)


def region_features(regions: Sequence[Region], crop: PieceCrop) -> FloatArray:
    """What the judgement rests on, float64 (N, len(FEATURES)), in the order of ``FEATURES``.

    Odds enter as log-odds of the surest tenth of the pixels, sizes and counts as logarithms.
    """
    peaks = np.array([_surest(region.odds.max(axis=0)) for region in regions])
    kinds = np.array([int(np.argmax(region.kind_odds())) for region in regions])
    likely = peaks > LIKELY_PEAK
    rows = []
    for region, peak, kind in zip(regions, peaks, kinds, strict=True):
        shares = region.kind_odds()
        rows.append(
            [
                _logit(peak),
                _logit(float(region.odds.max(axis=0).mean(dtype=np.float64))),
                np.log(len(region.rows)),
                np.log(max(float(np.median(crop.depth_px[region.rows, region.columns])), 1.0)),
                shares.max(),
                *(_logit(_surest(odds)) for odds in region.odds),
                *shares,
                np.log1p(np.count_nonzero(likely)),
                np.log1p(np.count_nonzero(peaks > SURE_PEAK)),
                np.log1p(np.count_nonzero(likely & (kinds == kind))),
                np.log1p(np.count_nonzero(peaks > peak)),
                _slenderness(region),
            ]
        )
    return np.array(rows, np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class OutcomeModel:
    """Softmax of standardised features."""

    middle: FloatArray
    """(F,) mean of each feature."""
    spread: FloatArray
    """(F,) standard deviation of each feature."""
    weights: FloatArray
    """(1 + F, 6) weights of a constant and the standardised features for each of ``OUTCOMES``."""


def outcome_chances(features: FloatArray, model: OutcomeModel) -> FloatArray:
    """Probability of each of ``OUTCOMES`` for features (N, F), float64 (N, 6)."""
    return _softmax(standardised(features, model) @ model.weights)


def photo_chances(chances: FloatArray, *, is_from_side: bool) -> FloatArray:
    """Chances (N, 6) among grainy training crops from above -> chances in photos, where marks show better."""
    logits = SHARPER * np.log(np.maximum(chances, 1e-12))
    logits[:, 1:] += SURER - (SIDE_DOUBT if is_from_side else 0.0)
    return _softmax(logits)


def _softmax(logits: FloatArray) -> FloatArray:
    grown = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(grown / grown.sum(axis=1, keepdims=True))


def standardised(features: FloatArray, model: OutcomeModel) -> FloatArray:
    """A constant 1 and the features (N, F) in spreads from the middle, limited, (N, 1 + F)."""
    z = np.clip((features - model.middle) / model.spread, -MOST_SPREADS, MOST_SPREADS)
    return np.concatenate([np.ones((len(features), 1)), z], axis=1)


def _surest(odds: np.ndarray) -> float:
    """Mean of the surest tenth of pixels."""
    return float(np.sort(odds)[-max(1, len(odds) // 10) :].mean(dtype=np.float64))


def _slenderness(region: Region) -> float:
    """Log of the ratio of the region's spread along and across its main direction."""
    if len(region.rows) < 3:
        return 0.0
    across, along = np.linalg.eigvalsh(np.cov(np.stack([region.columns, region.rows]).astype(np.float64)))
    return float(0.5 * np.log(max(along, 0.2) / max(across, 0.2)))


def _logit(p: float) -> float:
    p = min(max(p, 1e-4), 1 - 1e-4)
    return float(np.log(p / (1 - p)))


@cache
def _model() -> OutcomeModel:
    table = json.loads(files('grader.marks').joinpath(CONFIDENCE_FILE).read_text(encoding='utf-8'))
    rows = [table['features'][name] for name in FEATURES]
    weights = [table['constant'], *(row['weights'] for row in rows)]
    return OutcomeModel(
        np.array([row['middle'] for row in rows]),
        np.array([row['spread'] for row in rows]),
        np.array([[row[outcome] for outcome in OUTCOMES] for row in weights]),
    )
