"""A study from what the records of its photos tell."""

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np

from grader.errors import PhotoSetUnusable
from grader.study.found_again import FoundAgain, Looks, found_again, looks_of
from grader.study.kappa import cross_table, fleiss_kappa, step_weights, weighted_kappa
from grader.study.quantity import Values, interval_facts, study_quantity
from grader.study.reading import Gathered, LeftOut, Reading, band_numbers
from grader.study.study import (
    AgainFacts,
    FleissFacts,
    IntervalFacts,
    KappaFacts,
    LeftOutFacts,
    MarksAgain,
    NotStudied,
    QuantityName,
    QuantityStudy,
    ReadingFacts,
    Study,
)
from grader.study.words import doubts_of, summary_of
from grader.version import __version__

_QUANTITIES: tuple[tuple[QuantityName, str, str], ...] = (
    ('score', "score", "points"),
    ('width', "largest width", "mm"),
    ('marks', "number of marks", "marks"),
)


def build_study(gathered: Gathered, faults: Sequence[LeftOut] = ()) -> Study:
    """Study of all readings.

    Parameters
    ----------
    gathered : Gathered
    faults
        Photos and records that could not be used, and why.

    Raises
    ------
    PhotoSetUnusable
        If no piece was photographed twice.
    """
    readings = gathered.readings
    check_repeats([one.piece for one in readings])
    quantities: list[QuantityStudy] = []
    not_studied: list[NotStudied] = []
    for name, words, unit in _QUANTITIES:
        values = _values(name, readings)
        found = study_quantity(name, words, unit, values) if values.values else None
        if found is not None:
            quantities.append(found)
        else:
            not_studied.append(NotStudied(name=name, reason=_reason(name, values)))
    numbers = band_numbers(gathered.rules_version)
    kappas, all_setups = _band_agreements(readings, numbers), _band_agreement_of_all(readings, numbers)
    again = _marks_again(gathered)
    left_out = [*gathered.left_out, *faults]
    return Study(
        grader=__version__,
        record_graders=gathered.grader_versions,
        rules_version=gathered.rules_version,
        pieces=tuple(sorted({one.piece for one in readings})),
        setups=tuple(sorted({one.setup for one in readings})),
        readings=tuple(_reading_facts(one) for one in readings),
        left_out=tuple(LeftOutFacts(name=one.name, reason=one.reason) for one in left_out),
        quantities=tuple(quantities),
        not_studied=tuple(not_studied),
        band_agreements=kappas,
        band_agreement_of_all=all_setups,
        marks_again=again,
        summary=summary_of(quantities, not_studied, kappas, all_setups, again),
        doubts=doubts_of(quantities, readings, len(left_out)),
    )


def check_repeats(pieces: Sequence[str]) -> None:
    """Check that any piece has two photos.

    Parameters
    ----------
    pieces
        The piece of each photo.

    Raises
    ------
    PhotoSetUnusable
        If none has.
    """
    if len(pieces) == len(set(pieces)):
        raise PhotoSetUnusable(
            f"There is 1 photo of each of the {len(pieces)} piece(s), so nothing was repeated.",
            "Photograph each piece at least twice, laid down anew each time; four times is better.",
        )


def _values(name: QuantityName, readings: Sequence[Reading]) -> Values:
    found = [
        (float(value), one.piece, one.setup)
        for one in readings
        if (value := {'score': one.score, 'width': one.width_mm, 'marks': one.n_marks}[name]) is not None
    ]
    values, pieces, setups = zip(*found, strict=True) if found else ((), (), ())
    return Values(tuple(values), tuple(pieces), tuple(setups))


def _reason(name: QuantityName, values: Values) -> str:
    if not values.values:
        return "No photo tells it: millimetres need the calibration card." if name == 'width' else "No photo tells it."
    return "No piece has two photos that tell it, apart from what set-ups and pieces differ by."


def _reading_facts(one: Reading) -> ReadingFacts:
    return ReadingFacts(
        photo=one.photo,
        sha256=one.sha256,
        piece=one.piece,
        setup=one.setup,
        score=one.score,
        band=one.band,
        n_marks=one.n_marks,
        width_mm=one.width_mm,
    )


def _band_agreements(readings: Sequence[Reading], numbers: Mapping[str, int]) -> tuple[KappaFacts, ...]:
    """Agreement in the word between each two set-ups, on the pieces that both photographed."""
    found = []
    setups = sorted({one.setup for one in readings})
    for first, second in combinations(setups, 2):
        a, b = (_bands_of(readings, setup, numbers) for setup in (first, second))
        both = sorted(set(a) & set(b))
        if len(both) < 2:
            continue
        table = cross_table([a[piece] for piece in both], [b[piece] for piece in both], len(numbers))
        kappas = [weighted_kappa(table, step_weights(len(numbers), power)) for power in (0, 1, 2)]
        plain, linear, quadratic = (None if one is None else interval_facts(one.kappa) for one in kappas)
        found.append(
            KappaFacts(
                first=first,
                second=second,
                n_pieces=len(both),
                bands=tuple(numbers),
                table=tuple(tuple(int(count) for count in row) for row in table),
                n_same=sum(a[piece] == b[piece] for piece in both),
                kappa=plain,
                linear=linear,
                quadratic=quadratic,
            )
        )
    return tuple(found)


def _band_agreement_of_all(readings: Sequence[Reading], numbers: Mapping[str, int]) -> FleissFacts | None:
    """Agreement in the word of three set-ups or more; None where it cannot be told."""
    setups = sorted({one.setup for one in readings})
    bands = [_bands_of(readings, setup, numbers) for setup in setups]
    shared = sorted(set.intersection(*(set(one) for one in bands)))
    if len(setups) < 3 or len(shared) < 2:
        return None
    counts = np.zeros((len(shared), len(numbers)))
    for row, piece in enumerate(shared):
        for one in bands:
            counts[row, one[piece]] += 1
    kappa = fleiss_kappa(counts)
    return None if kappa is None else FleissFacts(n_setups=len(setups), n_pieces=len(shared), kappa=kappa)


def _bands_of(readings: Sequence[Reading], setup: str, numbers: Mapping[str, int]) -> dict[str, int]:
    """Number of the word for each piece by a set-up: the middle one of its photos, of two the worse."""
    by_piece: dict[str, list[int]] = {}
    for one in readings:
        if one.setup == setup:
            by_piece.setdefault(one.piece, []).append(numbers[one.band])
    return {piece: sorted(bands)[len(bands) // 2] for piece, bands in by_piece.items()}


def _marks_again(gathered: Gathered) -> MarksAgain | None:
    """How often the same mark is found again, where photos of a piece were examined together."""
    setup_of_sha = {one.sha256: one.setup for one in gathered.readings}
    looks: list[Looks] = []
    pieces = set()
    for piece, record in gathered.together:
        if piece in pieces:
            continue
        pieces.add(piece)
        setups = {one.name: setup_of_sha[one.sha256] for one in record.photos if one.sha256 in setup_of_sha}
        looks += looks_of(record, setups)
    if not pieces:
        return None
    same, other = (_again_facts(found_again(looks, same_setup=same)) for same in (True, False))
    return MarksAgain(n_pieces=len(pieces), same_setup=same, other_setup=other)


def _again_facts(found: FoundAgain | None) -> AgainFacts | None:
    if found is None:
        return None
    ratio = IntervalFacts(value=found.ratio.value, low=found.ratio.low, high=found.ratio.high)
    return AgainFacts(
        ratio=ratio, n_again=found.n_again, n_same_kind=found.n_same_kind, n_looks=found.n_looks, n_marks=found.n_marks
    )
