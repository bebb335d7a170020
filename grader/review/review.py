"""The review of a record: a log of acts that only grows, and what it makes of the record, as versioned JSON.

It is a file of its own beside the record, which stays as it is, and names the record's SHA-256.
"""

from typing import Annotated, Literal

from pydantic import Field

from grader.record import GradeFacts, MarkFacts
from grader.record_parts import (
    ClockH,
    FileKind,
    Mm,
    PointPx,
    Px,
    Ratio,
    RecordPart,
    UncertaintyMm,
    json_text,
    rounded,
    schema_of,
)
from grader.review.acts import Act, MarkNumber
from grader.review.constants import MOST_REASON_LETTERS

REVIEW_VERSION = 1

# Neither holds control signs, which a file from outside could use to write over a screen.
Initials = Annotated[str, Field(min_length=1, max_length=8, pattern=r'^[^\s\x00-\x1f\x7f-\x9f]+$')]
Reason = Annotated[str, Field(min_length=1, max_length=MOST_REASON_LETTERS, pattern=r'^[^\x00-\x1f\x7f-\x9f]+$')]
Sha256 = Annotated[str, Field(pattern='^[0-9a-f]{64}$')]


class DrawnFacts(RecordPart):
    """A drawn mark, measured when it was drawn. Sizes do not depend on the kind."""

    photo: str
    """Name of the photo it is drawn on."""
    outline_px: tuple[PointPx, ...]
    centre_px: PointPx
    length_px: Px
    width_px: Px
    diameter_px: Px
    length_mm: Mm | None = None
    u_length_mm: UncertaintyMm | None = None
    width_mm: Mm | None = None
    u_width_mm: UncertaintyMm | None = None
    diameter_mm: Mm | None = None
    """Of the disc of equal area."""
    u_diameter_mm: UncertaintyMm | None = None
    clock_h: ClockH | None = None
    zone: str = Field(pattern='^(crown|shoulder|rim|base)?$')
    radius_ratio: Ratio | None = None
    facing: Ratio
    width_source: Literal['drawn', 'stated', 'assumed']
    """Whether the width was drawn, stated by the person, or is the usual one of a scratch."""
    surface_source: Literal['photo', 'record']
    """Whether the glass below the drawing was fitted to the photo anew, or taken from the record alone."""


class Statement(RecordPart):
    """Who says something, when and why."""

    initials: Initials
    reason: Reason
    at: str = Field(pattern=r'^[-+:.TZ0-9 ]{10,40}$')
    """Time, ISO 8601."""
    clock: Literal['stated', 'computer']
    """Whether the person stated the time, or it is that of the computer's clock, which proves nothing."""


class Entry(Statement):
    """One act in the log."""

    number: int = Field(ge=1)
    """Counted from 1 without gaps."""
    act: Act
    mark: MarkNumber | None = None
    """The mark it is about; for an added one the number that it gets, which is never given again."""
    drawn: DrawnFacts | None = None
    """What was drawn, measured."""
    grader: str
    """Version of the program that noted it."""


class ReviewedMark(RecordPart):
    """A mark as it stands after the review."""

    number: MarkNumber
    """That of the record; added marks go on counting."""
    status: Literal['not reviewed', 'confirmed', 'rejected', 'added']
    mark: MarkFacts
    """The mark after the review. Of a rejected one the finding, with neither confidence nor cost."""
    found_kind: str | None = None
    """What the program took it for; absent for an added one."""
    found_confidence: Ratio | None = None
    """How sure the program was."""
    found_cost_points: Annotated[float, rounded(2)] | None = None
    """What it took from the score by the program's findings."""
    by: str
    """Initials of who spoke of it last; '' where nobody did."""
    reason: str
    """Her reason."""


class ReviewedRecord(RecordPart):
    """What the review makes of the record. It follows from record and log alone."""

    marks: tuple[ReviewedMark, ...]
    grade: GradeFacts
    """The grade by the reviewed marks."""
    found_grade: GradeFacts
    """The grade of the record, by the program's marks."""
    is_changed: bool
    """Whether the two differ."""
    changes: tuple[str, ...]
    """In sentences: how the review changed the grade."""


class Review(RecordPart):
    """Log and result."""

    review_version: Literal[1] = 1
    record: str
    """File name of the record."""
    record_sha256: Sha256
    """Of the record's bytes."""
    entries: tuple[Entry, ...]
    result: ReviewedRecord

    def to_json(self) -> str:
        """Text of the review: the same review always gives the same text."""
        return json_text(self)


REVIEW_FILE = FileKind(
    model=Review,
    name="review",
    version_field='review_version',
    version=REVIEW_VERSION,
    as_written="\"grader review\"",
    remedy="review the record anew in another file, with --review",
)


def review_schema_text() -> str:
    """JSON Schema of the review, as it is shipped."""
    return schema_of(Review)
