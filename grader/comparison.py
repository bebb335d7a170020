"""Comparison: whether two sides show one piece, what changed, and what the earlier side could have shown, as JSON.

Like the record it has sorted keys and floats rounded field by field, so that the same photos, settings and versions
give the same bytes. ``schemas/comparison_v1.schema.json`` is the same description for other programs.
"""

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from grader.compare.change import ChangeName, CouldShow
from grader.compare.judgement import DesignWeight, SameVerdict
from grader.compare.sides import Side
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.marks.mark import MarkKind, is_damage
from grader.quality.photo_quality import Verdict
from grader.record import CardFacts, FlagFacts, Measurement, PhotoFacts, PhotoFault, Versions
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
from grader.settings import Settings

COMPARISON_VERSION = 1

Degrees = Annotated[float, rounded(2)]
ScaleSource = Literal['card', 'the other side', 'none']
StatedVerdict = Literal['agrees', 'differs', 'not checked']


class GroundFacts(RecordPart):
    """One thing that speaks for one piece or against it."""

    name: str
    words: str
    log_odds: Annotated[float, rounded(3)]
    """Natural log of its likelihood ratio: above 0 it speaks for one piece."""


class MatchFacts(RecordPart):
    """A detail of the design in a photo of each side."""

    before_photo: str
    after_photo: str
    before_px: PointPx
    after_px: PointPx
    likeness: Ratio
    """How alike it looks, -1 to 1."""


class SamePieceFacts(RecordPart):
    """Whether both sides show one piece, and why."""

    probability: Ratio = Field(ge=0, le=1)
    verdict: SameVerdict
    design: DesignWeight
    """How much design there is to tell pieces apart by."""
    words: str
    """The verdict in a sentence."""
    grounds: tuple[GroundFacts, ...]
    """The weightiest first."""
    matches: tuple[MatchFacts, ...]
    """The most alike first, then those that differ."""


class LookFacts(RecordPart):
    """What the photos of the other side could show at the place of a mark."""

    verdict: CouldShow
    probability: Ratio
    """That a mark like this one would have shown there."""
    photo: str | None = None
    """Photo that shows the place best; absent where none does."""
    centre_px: PointPx | None = None
    """The mark's place in that photo."""
    size_px: Px | None = None
    """Size there of what has to be seen: width of a line, diameter of a spot."""
    smallest_px: Px | None = None
    """Smallest such mark that this photo shows at that place."""
    size_mm: Mm | None = None
    """The same two on the glass, where there is a scale."""
    smallest_mm: Mm | None = None
    reasons: tuple[str, ...]
    """Why it could not be seen, or what limits the view."""
    words: str
    """All this in one sentence."""


class SeenFacts(RecordPart):
    """Where one photo shows a mark."""

    side: Side
    photo: str
    outline_px: tuple[PointPx, ...]


class ChangeFacts(RecordPart):
    """One mark of the piece, and what became of it."""

    number: int
    """Counted from 1; the pictures use the same numbers."""
    change: ChangeName
    kind: Literal['scratch', 'chip', 'bubble', 'bruise', 'dust']
    confidence: Ratio = Field(ge=0, le=1)
    """Probability that this is so: for a new mark, that it is there and was not there before."""
    mark_confidence: Ratio = Field(ge=0, le=1)
    """Probability that there is a mark at all."""
    side: Side
    photo: str
    """Photo that the outline is taken from: the main later photo where that shows the mark, else the best one."""
    outline_px: tuple[PointPx, ...]
    best_photo: str
    """Photo that the sizes are taken from."""
    length_px: Px
    width_px: Px
    diameter_px: Px
    length_mm: Mm | None = None
    u_length_mm: UncertaintyMm | None = None
    width_mm: Mm | None = None
    u_width_mm: UncertaintyMm | None = None
    diameter_mm: Mm | None = None
    u_diameter_mm: UncertaintyMm | None = None
    clock_h: ClockH | None = None
    """Clock position as the main later photo has it."""
    zone: str = Field(pattern='^(crown|shoulder|rim|base)?$')
    size_words: str
    place_words: str
    change_words: str
    """What became of it, in a few words."""
    grown_words: str
    earlier: LookFacts | None = None
    """What the earlier photos could show of it; absent for a mark of the earlier side alone."""
    later: LookFacts | None = None
    """For a mark of the earlier side alone, what the later photos could show of it."""
    seen_in: tuple[SeenFacts, ...]
    """All photos of both sides that show it."""
    flags: tuple[str, ...]

    @property
    def is_reported(self) -> bool:
        """Whether it is more likely so than not."""
        return self.confidence >= REPORTED_CONFIDENCE

    @property
    def is_borne_out(self) -> bool:
        """Whether the earlier photos bear a claim of new damage out: they would have shown it, or show it smaller."""
        return self.change == 'grown' or (self.earlier is not None and self.earlier.verdict == 'would have been seen')

    @property
    def is_new_damage(self) -> bool:
        """Whether it says: damage has been added."""
        return self.change in ('new', 'grown') and self.is_reported and is_damage(MarkKind(self.kind))


class ScaleFacts(RecordPart):
    """Where the millimetres of a side come from."""

    source: ScaleSource
    words: str
    width_mm: Measurement | None = None
    """For a scale from the other side: the width of the piece that was measured there."""


class ComparedPhoto(RecordPart):
    """One photo of a side, and how the piece stands in it."""

    photo: PhotoFacts
    card: CardFacts
    is_from_above: bool
    turn_deg: Degrees
    """Turn of the piece about its axis against the main later photo, from the card's x to its y."""
    u_turn_deg: Degrees
    turn_probability: Ratio
    turn_basis: str
    width_px: Px
    """Largest width of the piece."""
    outline_px: tuple[PointPx, ...] | None = None
    """Outline of the piece."""
    mm_per_px: Annotated[float, rounded(5)] | None = None
    """Scale at the piece's widest ring; absent where there is none."""
    u_mm_per_px: Annotated[float, rounded(6)] | None = None
    smallest_scratch_mm: Mm | None = None
    """Width of the finest scratch that shows on the middling part of the piece; absent without a scale."""
    smallest_chip_mm: Mm | None = None
    smallest_scratch_px: Px | None = None
    smallest_chip_px: Px | None = None
    smallest_words: str
    verdict: Verdict


class LeftOut(RecordPart):
    """A photo that was examined and takes no part."""

    name: str
    reason: str


class SideFacts(RecordPart):
    """One side of the comparison."""

    given_as: Literal['photos', 'record']
    record_name: str
    """File name of the record, '' where photos were given."""
    record_made_at: str
    """Time that the record states; '' where it states none."""
    settings: Settings
    photos: tuple[ComparedPhoto, ...]
    """Photos that take part, the main one first."""
    left_out: tuple[LeftOut, ...]
    faults: tuple[PhotoFault, ...]
    """Photos that could not be examined."""
    scale: ScaleFacts
    diameter_max_mm: Measurement | None = None
    diameter_min_mm: Measurement | None = None
    height_mm: Measurement | None = None
    flags: tuple[FlagFacts, ...]


class SharedBand(RecordPart):
    """A band of the dome, and how much of it can be compared."""

    band: str
    both_ratio: Ratio
    """Share of its surface that both sides show clearly."""


class SharedView(RecordPart):
    """How much of the dome's surface the sides show clearly; where they do not, nothing can be said."""

    both_ratio: Ratio
    before_ratio: Ratio
    after_ratio: Ratio
    bands: tuple[SharedBand, ...]


class StatedSizeFacts(RecordPart):
    """A size that the seller states, against the measured one."""

    stated: str
    stated_mm: Mm
    stated_half_step_mm: Mm
    """Half of the last place given: a stated size is rounded."""
    of: Literal['width', 'height']
    measured: Measurement | None = None
    measured_side: Side | None = None
    verdict: StatedVerdict
    words: str


class Comparison(RecordPart):
    """What two sides tell together."""

    comparison_version: Literal[1] = 1
    made_at: str
    """Time that the user gave, ISO 8601; '' where none was given."""
    versions: Versions
    before: SideFacts
    after: SideFacts
    same_piece: SamePieceFacts
    changes: tuple[ChangeFacts, ...]
    """By number; empty where the sides show two pieces."""
    shared_view: SharedView | None = None
    """Absent where the sides show two pieces."""
    stated_sizes: tuple[StatedSizeFacts, ...]
    summary: tuple[str, ...]
    """The outcome in plain sentences."""
    flags: tuple[FlagFacts, ...]
    """Doubts about the comparison itself; those of each side stand with it."""

    @property
    def n_new_damage(self) -> int:
        """Marks of damage that are new or have grown."""
        return sum(one.is_new_damage for one in self.changes)

    @property
    def has_new_damage(self) -> bool:
        """Whether new damage is claimed: of a piece that is established to be the same."""
        return self.same_piece.verdict == 'same piece' and self.n_new_damage > 0

    def to_json(self) -> str:
        """Text of the comparison: the same comparison always gives the same text."""
        return json_text(self)


COMPARISON_FILE = FileKind(
    model=Comparison,
    name="comparison",
    version_field='comparison_version',
    version=COMPARISON_VERSION,
    as_written="\"grader compare\"",
    remedy="compare the photos again",
)


def read_comparison(path: Path) -> Comparison:
    """Comparison from its file.

    Raises
    ------
    RecordUnreadable
        If the file is missing, is no comparison or is of a version that this program does not know.
    """
    return COMPARISON_FILE.read(path)


def comparison_schema_text() -> str:
    """JSON Schema of the comparison, as it is shipped."""
    return schema_of(Comparison)
