"""Cohen's weighted kappa: agreement of two set-ups in the word for the condition, beyond what chance gives.

Source: Cohen, Psychological Bulletin 70 (1968) 213-220; standard error: Fleiss, Cohen, Everitt, Psychological Bulletin
72 (1969) 323-327.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.study.constants import NORMAL_95
from grader.study.intervals import Interval


@dataclass(frozen=True, slots=True)
class Kappa:
    """Weighted kappa with what it is made of."""

    kappa: Interval
    """With its 95 % interval, which holds for many pieces only."""
    standard_error: float
    agreement_ratio: float
    """Weighted share of the pieces on which both agree."""
    chance_ratio: float
    """The same by chance."""


def cross_table(first: Sequence[int], second: Sequence[int], n_classes: int) -> FloatArray:
    """How often the first said one class and the second another, (n_classes, n_classes)."""
    table = np.zeros((n_classes, n_classes))
    np.add.at(table, (np.asarray(first, dtype=np.intp), np.asarray(second, dtype=np.intp)), 1.0)
    return table


def step_weights(n_classes: int, power: int) -> FloatArray:
    """How much two classes agree, 0 to 1: falling with their distance (power 1) or its square (2); 0: alike or not."""
    steps = np.abs(np.subtract.outer(np.arange(n_classes), np.arange(n_classes))).astype(np.float64)
    if power == 0:
        return np.asarray((steps == 0).astype(np.float64))
    return np.asarray(1 - (steps / max(n_classes - 1, 1)) ** power)


def weighted_kappa(table: FloatArray, weights: FloatArray) -> Kappa | None:
    """Kappa of a table (K, K) of counts; None where chance alone agrees fully, as when all are in one class.

    Parameters
    ----------
    table : ndarray of shape (K, K)
        Rows are the classes by the first, columns those by the second.
    weights : ndarray of shape (K, K)
        Agreement of two classes, 1 for the same.
    """
    n = float(table.sum())
    if n == 0:
        return None
    share = table / n
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    seen, chance = float((weights * share).sum()), float(rows @ weights @ columns)
    if chance >= 1 - 1e-12:
        return None
    kappa = (seen - chance) / (1 - chance)
    levels = np.add.outer(weights @ columns, rows @ weights)
    spread = float((share * (weights - levels * (1 - kappa)) ** 2).sum()) - (kappa - chance * (1 - kappa)) ** 2
    error = math.sqrt(max(spread, 0.0) / n) / (1 - chance)
    low, high = kappa - NORMAL_95 * error, min(kappa + NORMAL_95 * error, 1.0)
    return Kappa(Interval(kappa, max(low, -1.0), high), error, seen, chance)


def fleiss_kappa(counts: FloatArray) -> float | None:
    """Agreement of several set-ups at once, with all differences equally bad; None where chance alone agrees fully.

    Source: Fleiss, Psychological Bulletin 76 (1971) 378-382.

    Parameters
    ----------
    counts : ndarray of shape (N, K)
        How many said each class, piece by piece; equally many for each piece, two at least.
    """
    n_sayings = float(counts[0].sum())
    seen = float(((counts**2).sum(axis=1) - n_sayings).mean() / (n_sayings * (n_sayings - 1)))
    chance = float(((counts.sum(axis=0) / counts.sum()) ** 2).sum())
    return None if chance >= 1 - 1e-12 else (seen - chance) / (1 - chance)
