"""Marks in the size and counting conventions of ISO 10110-7 (surface) and ISO 10110-18 (bubbles).

Only the conventions: a dome is no drawing with tolerances, so nothing here says that a piece meets a standard.
Known from secondary texts on ISO 10110-7:2008 and ISO 10110-3:1996; later editions may differ.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from grader.grade.constants import (
    LONG_SCRATCH_MM,
    PREFERRED_SIZES_MM,
    REPORTED_CONFIDENCE,
)
from grader.marks.mark import Mark, MarkKind, is_damage

# Room for rounding in comparisons of sizes.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class IsoNumbers:
    """Counts of marks by preferred size."""

    surface: str
    """Such as "5/2 x 0.63; L1 x 0.16": local imperfections by grade number, long scratches by width; '' if none."""
    bubbles: str
    """Such as "1/3 x 1.0": bubbles by grade number; '' if none."""
    note: str
    """How to read them, or why there are none."""


def iso_numbers(marks: Sequence[Mark], sizes_mm: Sequence[float] = PREFERRED_SIZES_MM) -> IsoNumbers:
    """Return the marks found (confidence 0.5 or more) as numbers of these conventions.

    Bruises start from a knock on the surface and are counted with its imperfections. Each grade number is rounded up
    to a preferred size.
    """
    found = [mark for mark in marks if mark.confidence >= REPORTED_CONFIDENCE and mark.kind != MarkKind.DUST]
    if any(mark.area_mm2 is None or mark.length_mm is None or mark.width_mm is None for mark in found):
        return IsoNumbers('', '', "Without a card there are no millimetres, so no such numbers.")
    damage = [mark for mark in found if is_damage(mark.kind)]
    long = [_width_mm(mark) for mark in damage if _is_long(mark)]
    local = [_grade_mm(mark) for mark in damage if not _is_long(mark)]
    bubbles = [_grade_mm(mark) for mark in found if mark.kind == MarkKind.BUBBLE]
    parts = [f"5/{_counted(local, sizes_mm)}"] if local else []
    parts += [f"L{_counted(long, sizes_mm)}"] if long else []
    return IsoNumbers(
        surface='; '.join(parts),
        bubbles=f"1/{_counted(bubbles, sizes_mm)}" if bubbles else '',
        note="Counts and sizes in mm in the manner of ISO 10110; no statement that the piece meets a standard.",
    )


def grade_number(area_mm2: float) -> float:
    """Grade number A in mm: the side of the square of equal area."""
    if area_mm2 < 0.0:
        raise ValueError(f'area must not be negative, got {area_mm2}')
    return math.sqrt(area_mm2)


def is_long_scratch(length_mm: float) -> bool:
    """Whether a scratch is told by its width instead of its area: longer than 2 mm."""
    return length_mm > LONG_SCRATCH_MM


def next_preferred(grade_mm: float, sizes_mm: Sequence[float] = PREFERRED_SIZES_MM) -> float:
    """Return the smallest preferred size that is not below a grade number; above the list the number itself."""
    return next((size for size in sizes_mm if size >= grade_mm * (1.0 - _ROUNDING)), grade_mm)


def _is_long(mark: Mark) -> bool:
    return mark.kind == MarkKind.SCRATCH and mark.length_mm is not None and is_long_scratch(mark.length_mm.value)


def _grade_mm(mark: Mark) -> float:
    return grade_number(mark.area_mm2 or 0.0)


def _width_mm(mark: Mark) -> float:
    return mark.width_mm.value if mark.width_mm is not None else 0.0


def _counted(grades_mm: Sequence[float], sizes_mm: Sequence[float]) -> str:
    """Counts by preferred size, largest first, such as "1 x 1.6, 3 x 0.63"."""
    counts = Counter(next_preferred(grade, sizes_mm) for grade in grades_mm)
    return ', '.join(f"{counts[size]} x {_size_text(size)}" for size in sorted(counts, reverse=True))


def _size_text(size_mm: float) -> str:
    """Two decimals from 0.1 mm on and three below, one from 1 mm on, as such numbers are written."""
    if size_mm < 0.1:
        return f"{size_mm:.3f}"
    return f"{size_mm:.2f}" if size_mm < 1.0 else f"{size_mm:.1f}"
