"""What the annotated picture shows of the findings: which marks, and unseen parts gathered by reason."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.grade import Grade
from grader.marks.mark import Mark, MarkKind
from grader.marks.unseen import UnseenArea
from grader.report.constants import DRAWN_CONFIDENCE, UNSEEN_LETTERS


@dataclass(frozen=True, slots=True)
class ShownMark:
    """A mark in the picture, with the number that the record gives it."""

    number: int
    """From 1, in the order of the record."""
    mark: Mark
    cost_points: float
    """What it takes from the score."""

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


def shown_marks(marks: Sequence[Mark], grade: Grade) -> tuple[ShownMark, ...]:
    """Return the marks to show: all that are possible at least, and dust only where it is likely."""
    numbered = zip(range(1, len(marks) + 1), marks, grade.mark_costs, strict=True)
    return tuple(ShownMark(number, mark, cost) for number, mark, cost in numbered if _is_shown(mark))


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
