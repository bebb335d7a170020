"""Intraclass correlations: which share of the spread of values is that between pieces.

Source: Shrout and Fleiss, "Intraclass correlations", Psychological Bulletin 86 (1979) 420-428; intervals also in McGraw
and Wong, Psychological Methods 1 (1996) 30-46.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.study.intervals import Interval, fisher_factor

ICC_NAMES = ('ICC(1,1)', 'ICC(2,1)', 'ICC(3,1)', 'ICC(1,k)', 'ICC(2,k)', 'ICC(3,k)')


# Below it only rounding tells the means apart.
_LEAST_RATIO = 1e-12


@dataclass(frozen=True, slots=True)
class TwoWay:
    """Mean squares of a table of targets and judges with one value in each cell."""

    n: int
    """Targets."""
    k: int
    """Judges."""
    between_targets: float
    within_targets: float
    between_judges: float
    residual: float


def two_way(table: FloatArray) -> TwoWay:
    """Mean squares of a table (targets, judges), two of each at least."""
    n, k = table.shape
    mean, rows, columns = table.mean(), table.mean(axis=1), table.mean(axis=0)
    ss_rows, ss_columns = k * float(((rows - mean) ** 2).sum()), n * float(((columns - mean) ** 2).sum())
    ss_within = float(((table - rows[:, None]) ** 2).sum())
    residual = float(((table - rows[:, None] - columns[None, :] + mean) ** 2).sum())
    return TwoWay(
        n, k, ss_rows / (n - 1), ss_within / (n * (k - 1)), ss_columns / (k - 1), residual / ((n - 1) * (k - 1))
    )  # fmt: skip


def icc_of_table(table: FloatArray) -> dict[str, Interval]:
    """All six correlations with their 95 % intervals, by the names of `ICC_NAMES`.

    Those that cannot be told, since nothing differs, are left out.

    Parameters
    ----------
    table : ndarray of shape (N, K)
        Value of each target by each judge; two of each at least.
    """
    found = {}
    squares = two_way(table)
    n, k = squares.n, squares.k
    for name, below, dof in (
        ('1', squares.within_targets, n * (k - 1)),
        ('3', squares.residual, (n - 1) * (k - 1)),
    ):
        if below > 0:
            single, mean = _by_ratio(squares.between_targets / below, k, n - 1, dof)
            found[f'ICC({name},1)'] = single
            if mean is not None:
                found[f'ICC({name},k)'] = mean
    random = _random_judges(squares)
    if random is not None:
        found['ICC(2,1)'] = random
        if 1 + (k - 1) * random.low > _LEAST_RATIO:
            found['ICC(2,k)'] = _of_mean(random, k)
    return {name: found[name] for name in ICC_NAMES if name in found}


def icc_of_groups(groups: Sequence[Sequence[float]]) -> dict[str, Interval]:
    """ICC(1,1) and ICC(1,k) of values that are repeats of each other within a group, and no more.

    With unequal numbers k is the usual mean of theirs, and the interval is not exact.

    Source: Donner, "A review of inference procedures for the intraclass correlation coefficient in the one-way random
    effects model", International Statistical Review 54 (1986) 67-82, from memory.
    """
    sizes = np.array([len(group) for group in groups], dtype=np.float64)
    n, total = len(groups), float(sizes.sum())
    if n < 2 or total <= n:
        return {}
    means = np.array([np.mean(group) for group in groups])
    mean = float((sizes * means).sum() / total)
    between = float((sizes * (means - mean) ** 2).sum()) / (n - 1)
    within = sum(float(((np.asarray(group) - m) ** 2).sum()) for group, m in zip(groups, means, strict=True))
    within /= total - n
    k = (total - float((sizes**2).sum()) / total) / (n - 1)
    if within <= 0:
        return {}
    single, of_mean = _by_ratio(between / within, k, n - 1, total - n)
    return {'ICC(1,1)': single} if of_mean is None else {'ICC(1,1)': single, 'ICC(1,k)': of_mean}


def _by_ratio(ratio: float, k: float, dof_above: float, dof_below: float) -> tuple[Interval, Interval | None]:
    """Correlation of single values and of means of k, from the ratio of the mean squares; means that are all alike have
    none.
    """
    low = ratio / fisher_factor(dof_above, dof_below)
    high = ratio * fisher_factor(dof_below, dof_above)
    single = Interval(*((one - 1) / (one + k - 1) for one in (ratio, low, high)))
    return single, Interval(*(1 - 1 / one for one in (ratio, low, high))) if ratio > _LEAST_RATIO else None


def _of_mean(single: Interval, k: int) -> Interval:
    """Correlation of means of k, by Spearman and Brown."""
    return Interval(*(k * one / (1 + (k - 1) * one) for one in (single.value, single.low, single.high)))


def _random_judges(squares: TwoWay) -> Interval | None:
    """ICC(2,1): judges taken at random, whose levels count as disagreement."""
    n, k, b, j, e = squares.n, squares.k, squares.between_targets, squares.between_judges, squares.residual
    below = b + (k - 1) * e + k * (j - e) / n
    if below <= 0 or e <= 0:
        return None
    icc = (b - e) / below
    level = n * (1 + (k - 1) * icc) - k * icc
    dof = (k - 1) * (n - 1) * (k * icc * j / e + level) ** 2 / ((n - 1) * (k * icc * j / e) ** 2 + level**2)
    f_low, f_high = fisher_factor(n - 1, dof), fisher_factor(dof, n - 1)
    low = n * (b - f_low * e) / (f_low * (k * j + (k * n - k - n) * e) + n * b)
    high = n * (f_high * b - e) / (k * j + (k * n - k - n) * e + n * f_high * b)
    return Interval(icc, low, high)
