"""Where the spread of values comes from: analysis of variance of pieces crossed with set-ups, both taken at random.

Sums of squares are differences of projections, and the expected ones are worked out from the layout itself (Henderson's
method 3; Searle, Casella, McCulloch, Variance Components, 1992, chapter 5, from memory). So unequal numbers of photos
are reckoned with; where they are equal this is the textbook's gauge study.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.linalg import orth
from scipy.special import chdtri, fdtrc

from calib.arrays import FloatArray
from grader.study.constants import COVERAGE, POOL_P
from grader.study.intervals import Interval

Source = Literal['piece', 'setup', 'interaction', 'repeat']
SOURCES: tuple[Source, ...] = ('piece', 'setup', 'interaction', 'repeat')


_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class AnovaRow:
    """One line of the table of the analysis of variance."""

    source: Source
    sum_of_squares: float
    dof: int

    @property
    def mean_square(self) -> float:
        """Sum of squares a degree of freedom."""
        return self.sum_of_squares / self.dof


@dataclass(frozen=True, slots=True, eq=False)
class VarianceAnalysis:
    """Table and components of the analysis."""

    rows: tuple[AnovaRow, ...]
    """The sources that could be told apart, in the order of `SOURCES`."""
    weights: FloatArray
    """(rows, rows): each row makes the variance of a source out of the mean squares."""
    is_balanced: bool
    """Whether each set-up took the same number of photos of each piece."""
    p_interaction: float | None
    """How often chance alone gives such an interaction; None where none could be looked for."""
    is_pooled: bool
    """Whether the interaction was taken for chance and joined with the repeats."""
    has_repeats: bool
    """Whether any piece was photographed more than once by the same set-up."""

    @property
    def raw(self) -> dict[Source, float]:
        """Variance by source as the equations give it; chance can make it negative."""
        variances = self.weights @ np.array([row.mean_square for row in self.rows])
        # What rounding leaves of two equal numbers is nothing, and not below nothing.
        floor = _ROUNDING * float(np.abs(variances).max())
        return {
            row.source: 0.0 if abs(value) <= floor else float(value)
            for row, value in zip(self.rows, variances, strict=True)
        }

    def variance(self, source: Source) -> float:
        """Variance of a source, 0 where it is negative or could not be told apart."""
        return max(self.raw.get(source, 0.0), 0.0)

    def has(self, source: Source) -> bool:
        """Whether this source could be told apart."""
        return any(row.source == source for row in self.rows)

    def f_test(self, source: Source) -> tuple[float, float] | None:
        """F of a source against what chance gives it, and its p; None where it is the chance itself.

        Pieces and set-ups are held against their interaction where there is one, else against the repeats. With unequal
        numbers this is not exact.
        """
        by_source = {row.source: row for row in self.rows}
        below = by_source['repeat']
        if source in ('piece', 'setup'):
            below = by_source.get('interaction', below)
        above = by_source.get(source)
        if above is None or above is below or below.mean_square <= 0:
            return None
        ratio = above.mean_square / below.mean_square
        return ratio, float(fdtrc(above.dof, below.dof, ratio))

    def sum_of(self, sources: Sequence[Source]) -> tuple[Interval, float]:
        """Variance of several sources together with its 95 % interval, and its degrees of freedom.

        Sources whose variance is negative count as 0 in the value. The interval is that of modified large samples,
        which is exact for a single mean square, and holds where few set-ups differ much; the degrees of freedom, by
        Welch and Satterthwaite, tell what the value rests on.

        Source: Graybill and Wang, Journal of the American Statistical Association 75 (1980) 869-873; Burdick, Borror,
        Montgomery, Journal of Quality Technology 35 (2003) 342-354; Satterthwaite, Biometrics Bulletin 2 (1946)
        110-114; all from memory.
        """
        raw = self.raw
        squares = np.array([row.mean_square for row in self.rows])
        dofs = np.array([row.dof for row in self.rows], dtype=np.float64)
        of_all = np.array([float(row.source in sources) for row in self.rows])
        taken = np.array([float(raw[row.source] > 0) for row in self.rows]) * of_all
        parts = (taken @ self.weights) * squares
        total = float(parts.sum())
        if total <= 0:
            return Interval(0.0, 0.0, 0.0), float(dofs[-1])
        low, high = _large_sample_ends((of_all @ self.weights) * squares, dofs)
        interval = Interval(total, min(max(low, 0.0), total), max(high, total))
        return interval, total**2 / float((parts**2 / dofs).sum())


def analyse_variance(
    values: Sequence[float], pieces: Sequence[str], setups: Sequence[str], pool_p: float = POOL_P
) -> VarianceAnalysis | None:
    """Analysis of values of photos; None where no piece was photographed again, so that nothing can be told.

    Set-ups that cannot be told apart from pieces, since no piece was photographed by two of them, are passed over.

    Parameters
    ----------
    values
        One for each photo.
    pieces, setups
        Which piece the photo shows, and who or what took it.
    pool_p : float
        An interaction less sure than this is joined with the repeats.
    """
    spaces = _spaces(pieces, setups)
    centred = np.asarray(values, dtype=np.float64) - np.mean(values)
    terms = _terms(spaces, len(values))
    if terms[-1][2] is None and spaces.rank(terms[-1][1]) == len(values):
        return None
    rows = tuple(_row(source, big, small, centred, spaces) for source, small, big in terms)
    counts = _cell_counts(pieces, setups)
    p, is_pooled = None, False
    if rows[-2:-1] and rows[-2].source == 'interaction':
        p = _p_of(rows[-2], rows[-1])
        is_pooled = p > pool_p
    if is_pooled:
        joined = AnovaRow('repeat', rows[-1].sum_of_squares + rows[-2].sum_of_squares, rows[-1].dof + rows[-2].dof)
        terms, rows = [*terms[:-2], ('repeat', terms[-2][1], None)], (*rows[:-2], joined)
    return VarianceAnalysis(
        rows, _weights(terms, rows, spaces), len(set(counts.values())) == 1 and 0 not in counts.values(), p, is_pooled,
        max(counts.values()) > 1,
    )  # fmt: skip


_Term = tuple[Source, str, str | None]
"""A source, the space without it, and the space with it; None for all values."""


@dataclass(frozen=True, slots=True, eq=False)
class _Spaces:
    """Which photos belong together, and orthonormal bases of the spaces that they span."""

    groups: Mapping[str, FloatArray]
    """0 or 1, (photos, groups), by source."""
    bases: Mapping[str, FloatArray]
    """(photos, rank), by the name of the space."""

    def rank(self, name: str) -> int:
        """Dimension of a space."""
        return int(self.bases[name].shape[1])

    def weight(self, name: str | None, matrix: FloatArray) -> float:
        """Sum of squares of what of a matrix (photos, any) lies in a space."""
        return float(np.sum(matrix**2 if name is None else (self.bases[name].T @ matrix) ** 2))


def _spaces(pieces: Sequence[str], setups: Sequence[str]) -> _Spaces:
    piece, setup = _groups(pieces), _groups(setups)
    cell = _groups(list(zip(pieces, setups, strict=True)))
    one = np.ones((len(pieces), 1))
    bases = {name: orth(m) for name, m in (('one', one), ('piece', piece), ('setup', setup), ('cell', cell))}
    bases['both'] = orth(np.hstack([piece, setup]))
    return _Spaces({'piece': piece, 'setup': setup, 'interaction': cell}, bases)


def _groups(labels: Sequence[object]) -> FloatArray:
    names = sorted(set(labels), key=repr)
    return np.array([[float(label == name) for name in names] for label in labels])


def _terms(spaces: _Spaces, n: int) -> list[_Term]:
    """Sources that the layout can tell apart."""
    rank = spaces.rank
    crossed = rank('both') > rank('piece') and rank('both') > rank('setup')
    if not crossed:
        only = 'setup' if rank('piece') == 1 and rank('setup') > 1 else 'piece'
        if rank(only) == 1:
            return [('repeat', 'one', None)]
        return [('setup' if only == 'setup' else 'piece', 'one', only), ('repeat', only, None)]
    terms: list[_Term] = [('piece', 'setup', 'both'), ('setup', 'piece', 'both')]
    if rank('cell') > rank('both') and n > rank('cell'):
        return [*terms, ('interaction', 'both', 'cell'), ('repeat', 'cell', None)]
    return [*terms, ('repeat', 'both', None)]


def _row(source: Source, big: str | None, small: str, centred: FloatArray, spaces: _Spaces) -> AnovaRow:
    ss = spaces.weight(big, centred) - spaces.weight(small, centred)
    dof = (len(centred) if big is None else spaces.rank(big)) - spaces.rank(small)
    # Rounding leaves something of equal values.
    floor = _ROUNDING * float(np.sum(centred**2))
    return AnovaRow(source, ss if ss > floor else 0.0, dof)


def _weights(terms: Sequence[_Term], rows: Sequence[AnovaRow], spaces: _Spaces) -> FloatArray:
    """Turn expected sums of squares round: variances out of mean squares."""
    n = len(next(iter(spaces.groups.values())))
    expected = np.zeros((len(terms), len(terms)))
    for i, (_, small, big) in enumerate(terms):
        for j, (source, _, _) in enumerate(terms):
            matrix = np.eye(n) if source == 'repeat' else spaces.groups[source]
            expected[i, j] = spaces.weight(big, matrix) - spaces.weight(small, matrix)
    return np.asarray(np.linalg.inv(expected) * np.array([row.dof for row in rows]))


def _p_of(row: AnovaRow, below: AnovaRow) -> float:
    if below.mean_square <= 0:
        return 0.0 if row.mean_square > 0 else 1.0
    return float(fdtrc(row.dof, below.dof, row.mean_square / below.mean_square))


def _large_sample_ends(parts: FloatArray, dofs: FloatArray) -> tuple[float, float]:
    """Ends of the 95 % interval of a sum of multiples of mean squares, each with its degrees of freedom."""
    tail = (1 - COVERAGE) / 2
    below, above = 1 - dofs / chdtri(dofs, tail), dofs / chdtri(dofs, 1 - tail) - 1
    # What is subtracted pulls the other way.
    down, up = np.where(parts > 0, below, above), np.where(parts > 0, above, below)
    total = float(parts.sum())
    return total - float(np.hypot.reduce(down * parts)), total + float(np.hypot.reduce(up * parts))


def _cell_counts(pieces: Sequence[str], setups: Sequence[str]) -> dict[tuple[str, str], int]:
    """Photos of each piece by each set-up, also none."""
    counts = {(piece, setup): 0 for piece in set(pieces) for setup in set(setups)}
    for cell in zip(pieces, setups, strict=True):
        counts[cell] += 1
    return counts
