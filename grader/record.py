"""GradingRecord: all that an examination found, and all it takes to do it again, as versioned JSON.

The JSON has sorted keys, floats rounded field by field, UTF-8 text and a newline at its end, so that the same photos,
settings and versions give the same bytes. ``schemas/record_v1.schema.json`` is the same description for other programs.
"""

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from grader.quality_facts import QualityFacts
from grader.record_parts import (
    ClockH,
    FileKind,
    Mm,
    PointPx,
    Points,
    Px,
    Ratio,
    RecordPart,
    UncertaintyMm,
    json_text,
    rounded,
    schema_of,
)
from grader.settings import Settings

RECORD_VERSION = 1


class PhotoFacts(RecordPart):
    """One photo file."""

    name: str
    sha256: str = Field(pattern='^[0-9a-f]{64}$')
    file_format: str
    width_px: int
    height_px: int
    bit_depth: int
    n_bytes: int
    taken_at: str
    camera: str
    f35_mm: Mm | None = None


class CardFacts(RecordPart):
    """How the calibration card was read in one photo."""

    card: Literal['frame', 'pocket', 'none']
    reason: str = ''
    """Why there is no card, where there is none."""
    n_markers: int | None = None
    rms_px: Annotated[float, rounded(4)] | None = None
    focal_px: Px | None = None
    u_focal_px: Px | None = None
    focal_source: str | None = None
    k1: Annotated[float, rounded(6)] | None = None
    camera_position_mm: tuple[Mm, Mm, Mm] | None = None
    u_print_ratio: Annotated[float, rounded(6)] | None = None


class Measurement(RecordPart):
    """A length with its uncertainty budget."""

    value: Mm
    unit: Literal['mm']
    expanded_uncertainty: UncertaintyMm
    coverage_factor: float
    standard_uncertainty: UncertaintyMm
    components: dict[str, UncertaintyMm]
    """Standard uncertainties (k = 1) by cause."""
    text: str
    """Value and expanded uncertainty as they should be printed."""


class FormFacts(RecordPart):
    """The kind of a piece by its form, and the sizes by which collectors name that kind."""

    kind: str
    words: str
    sizes: dict[str, Measurement]
    """By name, in words."""
    n_facets: int | None = None


class Measurements(RecordPart):
    """Widths of the piece seen from straight above: in mm with a card, in px always."""

    diameter_max_mm: Measurement | None = None
    diameter_min_mm: Measurement | None = None
    diameter_max_px: Px
    diameter_min_px: Px
    max_direction_deg: Annotated[float, rounded(1)]
    """In the card frame, from x to y; without a card in the image frame."""
    min_direction_deg: Annotated[float, rounded(1)]
    ring_mm: Mm | None = None
    """Height of the widest ring above the card that was taken, and its standard uncertainty."""
    u_ring_mm: UncertaintyMm | None = None
    ring_source: str
    """Where that height comes from, or why there is none."""
    height_mm: Measurement | None = None
    """From the card to the top, by photos from the side."""
    base_mm: Measurement | None = None
    """Width of the foot, likewise; absent where the piece stands on little more than a point."""
    form: FormFacts | None = None
    """What kind of piece it is, where photos from the side tell it."""
    n_side_photos: int | None = None
    """How many photos from the side these rest on."""


class SeenInFacts(RecordPart):
    """Where one photo of a set shows a mark."""

    photo: str
    outline_px: tuple[PointPx, ...]
    number: int | None = None
    """Number of the mark among those that the photo shows by itself; absent where only a second look found it."""
    confidence: Ratio | None = None
    """How sure the photo by itself is of it."""


class MarkFacts(RecordPart):
    """One mark, as seen in one photo, or as all photos of a set together tell it."""

    number: int
    """Counted from 1, the likeliest first; the annotated picture uses the same numbers."""
    kind: Literal['scratch', 'chip', 'bubble', 'bruise', 'dust']
    confidence: Ratio = Field(ge=0, le=1)
    kind_odds: dict[str, Ratio]
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
    u_diameter_mm: UncertaintyMm | None = None
    area_mm2: Annotated[float, rounded(4)] | None = None
    length_ratio: Ratio | None = None
    """Without a card: length as a share of the piece's largest width."""
    width_ratio: Annotated[float, rounded(5)] | None = None
    diameter_ratio: Ratio | None = None
    clock_h: ClockH | None = None
    zone: str = Field(pattern='^(crown|shoulder|rim|base)?$')
    radius_ratio: Ratio | None = None
    """Place between the middle (0) and the rim (1) of the piece seen from above."""
    facing: Ratio | None = None
    """Cosine between the glass and the direction to the camera."""
    layer: Literal['surface', 'inside', 'undecided']
    """Whether it lies on the glass or in it."""
    surface_odds: Ratio
    """Probability that it lies on the glass."""
    layer_basis: tuple[str, ...]
    """What the layer rests on."""
    depth_mm: Annotated[float, rounded(1)] | None = None
    """For a mark inside: its rough depth behind the glass, where several photos tell it."""
    dust_odds: Ratio
    """Probability that it is dust, given that it is there."""
    dust_basis: str
    """What that rests on."""
    latitude_deg: Annotated[float, rounded(1)] | None = None
    """In a set: height on the dome, 90 at the top, 0 on the widest ring, negative below it."""
    photo: str | None = None
    """In a set: the photo that outline, px and sizes are taken from."""
    seen_in: tuple[SeenInFacts, ...] | None = None
    """In a set: the photos that show it."""
    missing_in: tuple[str, ...] | None = None
    """In a set: photos that see its place well and do not show it."""
    cost_points: Annotated[float, rounded(2)]
    """What the mark takes from the score."""
    size_words: str
    place_words: str
    confidence_words: str
    flags: tuple[str, ...]


class UnseenFacts(RecordPart):
    """A part of the piece in which marks could not be seen."""

    reason: str
    polygon_px: tuple[PointPx, ...]
    area_ratio: Ratio
    area_mm2: Annotated[float, rounded(2)] | None = None


class GradeFacts(RecordPart):
    """The grade and why."""

    score: Points = Field(ge=0, le=100)
    interval: tuple[Points, Points]
    band: str
    borderline: bool
    other_band: str
    """The neighbouring word where the piece is borderline, else ''."""
    headline: str
    reasons: tuple[str, ...]
    rules_version: str


class IsoFacts(RecordPart):
    """The marks in the manner of ISO 10110-7 (surface) and -18 (bubbles), for the technical reader."""

    surface: str
    bubbles: str
    note: str


class FlagFacts(RecordPart):
    """A reason for doubt, in words."""

    name: str
    short: str
    text: str


class Findings(RecordPart):
    """What one photo shows."""

    photo: str
    card: CardFacts
    outline_px: tuple[PointPx, ...]
    shape: Literal['round', 'free']
    measurements: Measurements
    marks: tuple[MarkFacts, ...]
    iso_10110: IsoFacts
    unseen: tuple[UnseenFacts, ...]
    unseen_ratio: Ratio
    quality: QualityFacts
    """What this photo can show at all."""
    grade: GradeFacts
    flags: tuple[FlagFacts, ...]


class TurnFacts(RecordPart):
    """How the piece stands in one photo of a set, against the main photo."""

    photo: str
    turn_deg: Annotated[float, rounded(2)]
    """Turn of the piece about its axis, from the card's x to its y."""
    u_turn_deg: Annotated[float, rounded(2)]
    probability: Ratio
    """That the turn is right; a photo with less than 0.8 is not related to the others."""
    is_related: bool
    """Whether its marks were joined with those of the others."""
    basis: str
    """What tells the turn."""
    is_base: bool = False
    """Whether the photo shows the base of the upturned piece, as the user says."""
    seen_ratio: Ratio
    """Share of the dome's surface that this photo shows clearly."""


class SectorFacts(RecordPart):
    """A quarter of a band of the dome, and which photos show it."""

    band: str
    quarter: str
    seen_ratio: Ratio
    """Share of its surface that at least one photo shows clearly."""
    photos: tuple[str, ...]
    """Photos that show at least half of it."""


class PhotoSetFacts(RecordPart):
    """How the photos of a set belong together, and what of the dome they show."""

    turns: tuple[TurnFacts, ...]
    seen_ratio: Ratio
    """Share of the dome's surface that at least one photo shows clearly; the underside is no part of it."""
    sectors: tuple[SectorFacts, ...]


class PhotoFault(RecordPart):
    """A photo of the set that could not be examined."""

    name: str
    problem: str
    remedy: str


class Versions(RecordPart):
    """Programs whose change may change a number."""

    grader: str
    numpy: str
    opencv: str
    pillow: str
    scipy: str


class GradingRecord(Findings):
    """The record of an examination: findings, and how they came about.

    With several photos the marks, the grade and the unseen share are those of the piece, from all photos together;
    outline, card and the unseen places are those of the main photo.
    """

    record_version: Literal[1] = 1
    made_at: str
    """Time that the user gave for the record, ISO 8601; '' where none was given."""
    versions: Versions
    settings: Settings
    photos: tuple[PhotoFacts, ...]
    photo_set: PhotoSetFacts | None = None
    """How several photos belong together; absent for a single one."""
    other_findings: tuple[Findings, ...]
    """What each photo of a set shows by itself, the main photo first; empty for a single photo."""
    faults: tuple[PhotoFault, ...]

    def to_json(self) -> str:
        """Text of the record: the same record always gives the same text."""
        return json_text(self)


RECORD_FILE = FileKind(
    model=GradingRecord,
    name="record",
    version_field='record_version',
    version=RECORD_VERSION,
    as_written="\"grader examine\"",
    remedy="examine the photos again",
)


def read_record(path: Path) -> GradingRecord:
    """Record from its file.

    Raises
    ------
    RecordUnreadable
        If the file is missing, is no record or is of a version that this program does not know.
    """
    return RECORD_FILE.read(path)


def record_from_bytes(data: bytes, name: str) -> GradingRecord:
    """Record from the bytes of its file; `name` is for the words of a fault.

    Raises
    ------
    RecordUnreadable
        If it is no record or is of a version that this program does not know.
    """
    return RECORD_FILE.from_bytes(data, name)


def schema_text() -> str:
    """JSON Schema of the record, as it is shipped."""
    return schema_of(GradingRecord)
