"""What a person can say of the marks of a record."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from grader.marks.mark import MarkKind
from grader.record_parts import Mm, PointPx, RecordPart
from grader.review.constants import MOST_POINTS, MOST_REASON_LETTERS

Kind = Literal['scratch', 'chip', 'bubble', 'bruise', 'dust']
KINDS: tuple[Kind, ...] = ('scratch', 'chip', 'bubble', 'bruise', 'dust')
if {kind.value for kind in MarkKind} != set(KINDS):
    raise RuntimeError('acts.Kind must name each MarkKind')

MarkNumber = Annotated[int, Field(ge=1)]


class Drawing(RecordPart):
    """A mark as a person drew it."""

    photo: str = ''
    """Name of the photo it is drawn on; '' for the one that shows the mark best, or for the main photo."""
    shape: Literal['outline', 'line']
    """Whether the points go round the mark, or along its middle."""
    points_px: tuple[PointPx, ...] = Field(max_length=MOST_POINTS)
    """Points (x, y) of the photo; an outline is closed, and its first point is not repeated."""
    width_mm: Mm | None = Field(default=None, gt=0)
    """Width of a line, where the person states it."""

    @model_validator(mode='after')
    def _check(self) -> Self:
        least = 3 if self.shape == 'outline' else 2
        if len(self.points_px) < least:
            raise ValueError(
                f'an {self.shape} needs {least} points at least' if least == 3 else 'a line needs 2 points'
            )
        if self.shape == 'outline' and self.width_mm is not None:
            raise ValueError('an outline has its width by itself; width_mm is for a line')
        return self


class Confirm(RecordPart):
    """The mark is there. Its kind stays as sure as it was."""

    action: Literal['confirm'] = 'confirm'
    mark: MarkNumber


class Reject(RecordPart):
    """There is no such mark."""

    action: Literal['reject'] = 'reject'
    mark: MarkNumber


class Relabel(RecordPart):
    """The mark is there, and of this kind."""

    action: Literal['relabel'] = 'relabel'
    mark: MarkNumber
    kind: Kind


class Redraw(RecordPart):
    """The mark is there, and looks like this."""

    action: Literal['redraw'] = 'redraw'
    mark: MarkNumber
    drawing: Drawing


class AddMark(RecordPart):
    """There is a mark that the program did not find."""

    action: Literal['add'] = 'add'
    kind: Kind
    drawing: Drawing


class Undo(RecordPart):
    """An earlier entry counts no more."""

    action: Literal['undo'] = 'undo'
    entry: MarkNumber | None = None
    """Number of the entry; absent for the last one that still counts."""


Act = Annotated[Confirm | Reject | Relabel | Redraw | AddMark | Undo, Field(discriminator='action')]


class Wish(RecordPart):
    """An act that a person wants to be noted; what is left empty is taken from the command line."""

    act: Act
    initials: str = ''
    reason: str = Field(default='', max_length=MOST_REASON_LETTERS)
    when: str = ''
    """Time, ISO 8601."""
