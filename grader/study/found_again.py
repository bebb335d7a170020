"""How often the same mark is found again, where a piece's photos were examined together.

That examination turns the piece about its axis until the photos agree, joins marks at the same place of the dome, and
tells which photos see a mark's place well and do not show it.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.marks.mark import MarkKind, is_damage
from grader.record import GradingRecord, MarkFacts
from grader.study.constants import NORMAL_95
from grader.study.intervals import Interval


@dataclass(frozen=True, slots=True)
class Looks:
    """A mark, and what each photo that sees its place well made of it."""

    reported_by: tuple[str, ...]
    """Set-ups of the photos that report it by themselves, one entry a photo."""
    missed_by: tuple[str, ...]
    """Set-ups of those that do not."""


@dataclass(frozen=True, slots=True)
class FoundAgain:
    """Share of the second looks that report a mark again."""

    ratio: Interval
    n_again: int
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
    looks = []
    for mark in record.marks:
        if mark.seen_in is None or not is_damage(MarkKind(mark.kind)):
            continue
        reported = _reporting(mark)
        missed = {one.photo for one in mark.seen_in} | set(mark.missing_in or ())
        found = Looks(
            tuple(sorted(setup_of[name] for name in reported if name in setup_of)),
            tuple(sorted(setup_of[name] for name in missed - reported if name in setup_of)),
        )
        if found.reported_by:
            looks.append(found)
    return tuple(looks)


def found_again(looks: Sequence[Looks], *, same_setup: bool) -> FoundAgain | None:
    """How often a second look by the same set-up, or by another, reports a mark again; None where there is no such.

    The interval takes each mark for one trial, since the looks at one mark hang together.
    """
    n_again = n_looks = n_marks = 0
    for one in looks:
        chances, again = _count(one, same_setup)
        n_looks, n_again, n_marks = n_looks + chances, n_again + again, n_marks + (chances > 0)
    if n_looks == 0:
        return None
    ratio = n_again / n_looks
    low, high = wilson(ratio * n_marks, n_marks)
    return FoundAgain(Interval(ratio, low, high), n_again, n_looks, n_marks)


def wilson(n_found: float, n_all: float) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson, Journal of the American Statistical Association 22 (1927) 209-212."""
    z2 = NORMAL_95**2
    middle = (n_found + z2 / 2) / (n_all + z2)
    half = NORMAL_95 / (n_all + z2) * math.sqrt(n_found * (n_all - n_found) / n_all + z2 / 4)
    return max(middle - half, 0.0), min(middle + half, 1.0)


def _reporting(mark: MarkFacts) -> set[str]:
    return {
        one.photo
        for one in mark.seen_in or ()
        if one.number is not None and one.confidence is not None and one.confidence >= REPORTED_CONFIDENCE
    }


def _count(one: Looks, same_setup: bool) -> tuple[int, int]:
    """Second looks at a mark, and how many of them report it."""
    photos = [*((setup, True) for setup in one.reported_by), *((setup, False) for setup in one.missed_by)]
    seconds = [again for first, again in _pairs(photos) if (first == again[0]) is same_setup]
    return len(seconds), sum(reports for _, reports in seconds)


def _pairs(photos: Sequence[tuple[str, bool]]) -> Iterable[tuple[str, tuple[str, bool]]]:
    return ((first[0], second) for first, second in permutations(photos, 2) if first[1])
