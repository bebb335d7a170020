"""What the annotated picture shows of the findings: which marks, and unseen parts gathered by reason."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.grade import Grade
from grader.marks.mark import Mark, MarkKind
from grader.marks.unseen import UnseenArea
from grader.report.constants import DRAWN_CONFIDENCE, UNSEEN_LETTERS


@dataclass(frozen=True, slots=True)
class Spoken:
    """What a person said of the marks in her review, by number."""

    words: Mapping[int, str] = field(default_factory=dict)
    """Such as "confirmed by AB"; stands in place of how sure the program is."""
    rejected: frozenset[int] = frozenset()
    """Marks that she does not hold for marks."""


NOTHING_SAID = Spoken()
"""For a picture without a review."""


@dataclass(frozen=True, slots=True)
class ShownMark:
    """A mark in the picture, with the number that the record gives it."""

    number: int
    """From 1, in the order of the record."""
    mark: Mark
    cost_points: float
    """What it takes from the score."""
    said: str = ''
    """What a person said of it; '' where nobody did."""
    is_rejected: bool = False
    """Whether she does not hold it for a mark."""

    @property
    def is_possible(self) -> bool:
        """Whether it is less likely than not."""
        return self.mark.confidence < REPORTED_CONFIDENCE


@dataclass(frozen=True, slots=True)
class ShownUnseen:
    """Parts of the piece that could not be seen for one reason."""

    letter: str
    reason: str
    areas: tuple[UnseenArea, ...]
    """The largest first."""

    @property
    def area_ratio(self) -> float:
        """Share of the piece, all parts together."""
        return sum(area.area_ratio for area in self.areas)


def shown_marks(
    marks: Sequence[Mark], grade: Grade, numbers: Sequence[int], spoken: Spoken = NOTHING_SAID
) -> tuple[ShownMark, ...]:
    """Return the marks to show: all that are possible at least, dust only where it is likely, and all spoken of.

    Parameters
    ----------
    marks : sequence of Mark
    grade : Grade
        With the cost of each mark of the record.
    numbers : sequence of int
        Number of each of `marks` in the record, from 1.
    spoken : Spoken
        What a person said of them.
    """
    return tuple(
        ShownMark(number, mark, grade.mark_costs[number - 1], spoken.words.get(number, ''), number in spoken.rejected)
        for number, mark in zip(numbers, marks, strict=True)
        if number in spoken.words or _is_shown(mark)
    )


def shown_unseen(unseen: Sequence[UnseenArea]) -> tuple[ShownUnseen, ...]:
    """Return unseen parts by reason, the largest share first; past the last letter the rest share it."""
    reasons = sorted({area.reason for area in unseen})
    by_reason = {reason: [area for area in unseen if area.reason == reason] for reason in reasons}
    ranked = sorted(reasons, key=lambda reason: -sum(area.area_ratio for area in by_reason[reason]))
    return tuple(
        ShownUnseen(letter, reason, tuple(sorted(by_reason[reason], key=lambda area: -area.area_ratio)))
        for letter, reason in zip(UNSEEN_LETTERS, ranked, strict=False)
    )


def _is_shown(mark: Mark) -> bool:
    least = REPORTED_CONFIDENCE if mark.kind == MarkKind.DUST else DRAWN_CONFIDENCE
    return mark.confidence >= least
