"""From the network's odds of a region to the probability that it is a mark.

A logistic model of a few plain features of the region for each kind, fitted on rendered pieces that the network was not
trained on (``fixtures/mark_net/fit_confidence.py``), so that of the marks given 0.8 about 80 % are real.
"""

import json
from functools import cache
from importlib.resources import files

import numpy as np

from grader.marks.mark import MarkKind
from grader.marks.mark_net import NETWORK_KINDS
from grader.marks.piece_crop import PieceCrop
from grader.marks.regions import Region

CONFIDENCE_FILE = 'confidence_v1.json'
FEATURES = ('constant', 'peak', 'mean', 'size', 'depth', 'agreement')


def region_features(region: Region, crop: PieceCrop) -> np.ndarray:
    """What the confidence is computed from, float64 (6,), in the order of ``FEATURES``.

    Log-odds of the surest tenth of the pixels and of their mean, log of the number of pixels, log of the distance to
    the rim in px, and the share of the likeliest kind in the odds.
    """
    best = region.odds.max(axis=0).astype(np.float64)
    peak = float(np.sort(best)[-max(1, len(best) // 10) :].mean())
    depth = float(np.median(crop.depth_px[region.rows, region.columns]))
    return np.array(
        [
            1.0,
            _logit(peak),
            _logit(float(best.mean())),
            np.log(len(best)),
            np.log(max(depth, 1.0)),
            region.kind_odds().max(),
        ]
    )


def region_confidence(region: Region, kind: MarkKind, crop: PieceCrop) -> float:
    """Probability, 0 to 1, that a region is a mark at all."""
    weights = _weights()[NETWORK_KINDS.index(kind)]
    return float(1 / (1 + np.exp(-np.clip(weights @ region_features(region, crop), -30, 30))))


def _logit(p: float) -> float:
    p = min(max(p, 1e-4), 1 - 1e-4)
    return float(np.log(p / (1 - p)))


@cache
def _weights() -> np.ndarray:
    """Weights of each kind, float64 (5, 6), in the order of ``NETWORK_KINDS`` and ``FEATURES``."""
    table = json.loads(files('grader.marks').joinpath(CONFIDENCE_FILE).read_text(encoding='utf-8'))
    return np.array([[table['weights'][kind.value][name] for name in FEATURES] for kind in NETWORK_KINDS])
