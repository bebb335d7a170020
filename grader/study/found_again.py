"""How often the same mark is found again, where a piece's photos were examined together.

That examination turns the piece about its axis until the photos agree, joins marks at the same place of the dome, and
tells which photos see a mark's place well and do not show it.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.marks.mark import MarkKind
from grader.record import GradingRecord, MarkFacts
from grader.study.constants import NORMAL_95
from grader.study.intervals import Interval


@dataclass(frozen=True, slots=True)
class Looks:
    """A mark, and what each photo that sees its place well made of it."""

    reported_by: tuple[tuple[str, str], ...]
    """Set-up and kind for each photo that reports it by itself."""
    missed_by: tuple[str, ...]
    """Set-up for each that does not."""


@dataclass(frozen=True, slots=True)
class FoundAgain:
    """Share of the second looks that report a mark again."""

    ratio: Interval
    n_again: int
    n_same_kind: int
    """How many of these call it the same kind of mark."""
    n_looks: int
    """Ordered pairs of photos, the first of which reports a mark whose place the second sees well."""
    n_marks: int


def looks_of(record: GradingRecord, setup_of: Mapping[str, str]) -> tuple[Looks, ...]:
    """Looks at each mark that a photo of the piece reports by itself.

    Parameters
    ----------
    record : GradingRecord
        Of the piece's photos together.
    setup_of : mapping
        Set-up of each photo that takes part in the study, by its name in the record.
    """
    own = {(one.photo, mark.number): mark for one in record.other_findings for mark in one.marks}
    looks = []
    for mark in record.marks:
        seen = {one.photo: own.get((one.photo, one.number or 0)) for one in mark.seen_in or ()}
        reported = {name: one.kind for name, one in seen.items() if one is not None and is_counted(one)}
        missed = {*seen, *(mark.missing_in or ())} - set(reported)
        found = Looks(
            tuple(sorted((setup_of[name], kind) for name, kind in reported.items() if name in setup_of)),
            tuple(sorted(setup_of[name] for name in missed if name in setup_of)),
        )
        if found.reported_by:
            looks.append(found)
    return tuple(looks)


def is_counted(mark: MarkFacts) -> bool:
    """Whether a mark counts as one: reported, and not dust, which comes and goes."""
    return mark.confidence >= REPORTED_CONFIDENCE and MarkKind(mark.kind) is not MarkKind.DUST


def found_again(looks: Sequence[Looks], *, same_setup: bool) -> FoundAgain | None:
    """How often a second look by the same set-up, or by another, reports a mark again; None where there is no such.

    The interval takes each mark for one trial, since the looks at one mark hang together.
    """
    pairs = [[pair for pair in _pairs(one) if (pair[0][0] == pair[1][0]) is same_setup] for one in looks]
    n_looks, n_marks = sum(len(one) for one in pairs), sum(bool(one) for one in pairs)
    if n_looks == 0:
        return None
    again = [(first, second) for one in pairs for first, second in one if second[1]]
    ratio = len(again) / n_looks
    low, high = wilson(ratio * n_marks, n_marks)
    n_same_kind = sum(first[1] == second[1] for first, second in again)
    return FoundAgain(Interval(ratio, low, high), len(again), n_same_kind, n_looks, n_marks)


def wilson(n_found: float, n_all: float) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson, Journal of the American Statistical Association 22 (1927) 209-212."""
    z2 = NORMAL_95**2
    middle = (n_found + z2 / 2) / (n_all + z2)
    half = NORMAL_95 / (n_all + z2) * math.sqrt(n_found * (n_all - n_found) / n_all + z2 / 4)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def _pairs(one: Looks) -> list[tuple[tuple[str, str], tuple[str, str]]]:
    """Set-up and kind of each photo that reports the mark, and of each other one; no kind where that does not."""
    photos = [*one.reported_by, *((setup, '') for setup in one.missed_by)]
    return [(first, second) for first, second in permutations(photos, 2) if first[1]]
