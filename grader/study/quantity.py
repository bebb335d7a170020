"""One quantity of a study, from its values to its facts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from grader.study.agreement import limits_of_agreement
from grader.study.constants import DISTINCT_FACTOR, NORMAL_95
from grader.study.icc import icc_of_groups, icc_of_table
from grader.study.intervals import Interval, pooled_sd
from grader.study.study import (
    AgreementFacts,
    AnovaFacts,
    ComponentFacts,
    IccFacts,
    IntervalFacts,
    LimitFacts,
    PointFacts,
    QuantityName,
    QuantityStudy,
    SetupFacts,
)
from grader.study.variance import Source, VarianceAnalysis, analyse_variance

LIMIT_FACTOR = NORMAL_95 * math.sqrt(2)
"""Limit of the difference of two values over their standard deviation, 2.77."""


@dataclass(frozen=True, slots=True)
class Values:
    """Values of photos, and of which piece and by which set-up they are."""

    values: tuple[float, ...]
    pieces: tuple[str, ...]
    setups: tuple[str, ...]

    def cell(self, piece: str, setup: str) -> list[float]:
        """Values of a piece by a set-up."""
        return [v for v, p, s in zip(self.values, self.pieces, self.setups, strict=True) if (p, s) == (piece, setup)]

    def of_piece(self, piece: str) -> list[float]:
        """All values of a piece."""
        return [v for v, p in zip(self.values, self.pieces, strict=True) if p == piece]


def study_quantity(name: QuantityName, words: str, unit: str, values: Values) -> QuantityStudy | None:
    """Facts of a quantity; None where no piece has two values, so that nothing can be told."""
    analysis = analyse_variance(values.values, values.pieces, values.setups)
    if analysis is None:
        return None
    pieces, setups = sorted(set(values.pieces)), sorted(set(values.setups))
    components = _components(analysis)
    icc, basis = _icc(values, pieces, setups)
    return QuantityStudy(
        name=name,
        words=words,
        unit=unit,
        n_photos=len(values.values),
        n_pieces=len(pieces),
        n_setups=len(setups),
        is_balanced=analysis.is_balanced,
        is_pooled=analysis.is_pooled,
        has_repeats=analysis.has_repeats,
        anova=_anova(analysis),
        components=components,
        repeat=_limit(analysis, ('repeat',), _pairs(values, analysis, same_setup=True)),
        between_setups=_between_setups(values, analysis),
        distinct_categories=_distinct(components),
        by_setup=_by_setup(values, pieces, setups),
        icc=icc,
        icc_basis=basis,
        agreements=tuple(
            facts for pair in combinations(setups, 2) if (facts := _agreement(values, pieces, *pair)) is not None
        ),
        notes=_notes(analysis, values),
    )


def interval_facts(interval: Interval) -> IntervalFacts:
    """Interval as it is written."""
    return IntervalFacts(value=interval.value, low=interval.low, high=interval.high)


def _anova(analysis: VarianceAnalysis) -> tuple[AnovaFacts, ...]:
    tests = {row.source: analysis.f_test(row.source) for row in analysis.rows}
    return tuple(
        AnovaFacts(
            source=row.source,
            sum_of_squares=row.sum_of_squares,
            degrees_of_freedom=row.dof,
            mean_square=row.mean_square,
            f=None if (test := tests[row.source]) is None else test[0],
            p=None if test is None else test[1],
        )
        for row in analysis.rows
    )


def _components(analysis: VarianceAnalysis) -> tuple[ComponentFacts, ...]:
    """Components that could be told apart, and their sums."""
    raw = analysis.raw
    variances: dict[str, float] = {source: analysis.variance(source) for source in raw}
    if 'setup' in raw:
        variances['reproducibility'] = variances['setup'] + variances.get('interaction', 0.0)
        variances['gauge'] = variances['reproducibility'] + variances['repeat']
    variances['total'] = sum(variances[source] for source in raw)
    total = variances['total']
    return tuple(
        ComponentFacts(
            source=source,  # type: ignore[arg-type]
            variance=variance,
            sd=math.sqrt(variance),
            percent_study=100 * math.sqrt(variance / total) if total > 0 else 0.0,
            percent_contribution=100 * variance / total if total > 0 else 0.0,
            was_negative=raw.get(source, 0.0) < 0,  # type: ignore[call-overload]
        )
        for source, variance in variances.items()
    )


def _limit(analysis: VarianceAnalysis, sources: tuple[Source, ...], differences: Sequence[float]) -> LimitFacts:
    variance, dof = analysis.sum_of(sources)
    sd, low, high = (math.sqrt(one) for one in (variance.value, variance.low, variance.high))
    limit = Interval(sd, low, high).scaled(LIMIT_FACTOR)
    is_known = sd > 0
    return LimitFacts(
        sd=sd,
        degrees_of_freedom=dof,
        limit=limit.value,
        limit_low=limit.low if is_known else None,
        limit_high=limit.high if is_known else None,
        n_pairs=len(differences),
        n_pairs_within=sum(one <= limit.value for one in differences),
    )


def _between_setups(values: Values, analysis: VarianceAnalysis) -> LimitFacts | None:
    if not analysis.has('setup'):
        return None
    return _limit(analysis, ('setup', 'interaction', 'repeat'), _pairs(values, analysis, same_setup=False))


def _pairs(values: Values, analysis: VarianceAnalysis, *, same_setup: bool) -> list[float]:
    """Sizes of the differences of all pairs of values of a piece, by the same set-up or by two."""
    rows = list(zip(values.values, values.pieces, values.setups, strict=True))
    told_apart = analysis.has('setup')
    return [
        abs(first[0] - second[0])
        for first, second in combinations(rows, 2)
        if first[1] == second[1] and (first[2] == second[2] or not told_apart) is same_setup
    ]


def _distinct(components: Sequence[ComponentFacts]) -> int | None:
    sds = {one.source: one.sd for one in components}
    gauge = sds.get('gauge', sds['repeat'])
    if gauge <= 0 or 'piece' not in sds:
        return None
    return max(int(DISTINCT_FACTOR * sds['piece'] / gauge), 1)


def _by_setup(values: Values, pieces: Sequence[str], setups: Sequence[str]) -> tuple[SetupFacts, ...]:
    found = []
    for setup in setups:
        cells = [cell for piece in pieces if (cell := values.cell(piece, setup))]
        repeated = [cell for cell in cells if len(cell) > 1]
        sd, dof = (
            pooled_sd([float(np.std(cell, ddof=1)) for cell in repeated], [len(cell) - 1 for cell in repeated])
            if repeated
            else (None, 0)
        )
        everything = [value for cell in cells for value in cell]
        found.append(
            SetupFacts(
                setup=setup,
                n_photos=len(everything),
                mean=float(np.mean(everything)),
                sd=sd,
                degrees_of_freedom=int(dof),
            )
        )
    return tuple(found)


def _icc(values: Values, pieces: Sequence[str], setups: Sequence[str]) -> tuple[tuple[IccFacts, ...], str]:
    """Correlations, and what they are of."""
    whole = [piece for piece in pieces if all(values.cell(piece, setup) for setup in setups)]
    if len(setups) > 1 and len(whole) > 1:
        cells = [[values.cell(piece, setup) for setup in setups] for piece in whole]
        is_single = all(len(cell) == 1 for row in cells for cell in row)
        found = icc_of_table(np.array([[np.mean(cell) for cell in row] for row in cells]))
        of = "single photos" if is_single else "the means of the photos that a set-up took of a piece"
        basis = f"Of {of}; {len(whole)} pieces by {len(setups)} set-ups (k = {len(setups)})."
    else:
        found = icc_of_groups([values.of_piece(piece) for piece in pieces])
        basis = "Of single photos, all of a piece taken for repeats; k is the mean number of photos a piece."
    if not found:
        return (), "Cannot be told: two pieces, and some difference between their photos, are needed."
    return tuple(IccFacts(name=name, value=one.value, low=one.low, high=one.high) for name, one in found.items()), basis


def _agreement(values: Values, pieces: Sequence[str], first: str, second: str) -> AgreementFacts | None:
    both = [piece for piece in pieces if values.cell(piece, first) and values.cell(piece, second)]
    found = limits_of_agreement([values.cell(p, first) for p in both], [values.cell(p, second) for p in both])
    if found is None:
        return None
    agreement, points = found
    return AgreementFacts(
        first=first,
        second=second,
        n_pieces=agreement.n_pieces,
        sd=agreement.sd,
        bias=interval_facts(agreement.bias),
        lower_limit=interval_facts(agreement.lower_limit),
        upper_limit=interval_facts(agreement.upper_limit),
        points=tuple(
            PointFacts(piece=piece, mean=mean, difference=difference)
            for piece, (mean, difference) in zip(both, points, strict=True)
        ),
    )


def _notes(analysis: VarianceAnalysis, values: Values) -> tuple[str, ...]:
    """What of the analysis must be known to read it."""
    notes = []
    negative = {
        'piece': "between pieces",
        'setup': "between set-ups",
        'interaction': "of set-ups with pieces",
    }
    for source, words in negative.items():
        if analysis.raw.get(source, 0.0) < 0:  # type: ignore[call-overload]
            notes.append(f"The variance {words} came out below 0, which chance does, and was set to 0.")
    if analysis.is_pooled and analysis.p_interaction is not None:
        notes.append(
            "That some set-ups see some pieces in their own way could not be told from chance "
            f"(p = {analysis.p_interaction:.2f}), and was joined with the repeats."
        )
    if len(set(values.setups)) > 1 and not analysis.has('setup'):
        notes.append(
            "No piece was photographed by two set-ups, or no set-up photographed two pieces, so set-ups cannot be told "
            "from pieces; all photos of a piece count as repeats."
        )
    if not analysis.has_repeats:
        notes.append(
            "No set-up photographed a piece twice, so what set-ups see in single pieces counts as spread of repeats."
        )
    if analysis.has('setup') and not analysis.is_balanced:
        notes.append(
            "Set-ups did not take equally many photos of each piece. That is reckoned with, but tests and intervals "
            "are rougher for it."
        )
    return tuple(notes)
