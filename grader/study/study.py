"""Study: how repeatable size, marks and score are, as versioned JSON.

Like the record it has sorted keys and rounded floats, so that the same records give the same bytes.
``schemas/study_v1.schema.json`` is the same description for other programs.
"""

from typing import Annotated, Literal

from pydantic import AfterValidator

from grader.record_parts import Mm, Points, RecordPart, json_text, schema_of

STUDY_VERSION = 1
_SIGNIFICANT_DIGITS = 6

QuantityName = Literal['score', 'width', 'marks']


def _significant(value: float) -> float:
    """Value to six significant digits: the spread of widths is far below 1, that of scores above it."""
    return float(f'{value:.{_SIGNIFICANT_DIGITS}g}') + 0.0


Figure = Annotated[float, AfterValidator(_significant)]


class IntervalFacts(RecordPart):
    """A figure with its 95 % interval."""

    value: Figure
    low: Figure
    high: Figure


class ReadingFacts(RecordPart):
    """What one photo by itself tells."""

    photo: str
    sha256: str
    piece: str
    setup: str
    """'' where set-ups are not told apart."""
    score: Points
    band: str
    n_marks: int
    width_mm: Mm | None = None


class LeftOutFacts(RecordPart):
    """A photo that takes no part, and why."""

    name: str
    reason: str


class AnovaFacts(RecordPart):
    """A line of the table of the analysis of variance."""

    source: Literal['piece', 'setup', 'interaction', 'repeat']
    sum_of_squares: Figure
    degrees_of_freedom: int
    mean_square: Figure
    f: Figure | None = None
    p: Figure | None = None


class ComponentFacts(RecordPart):
    """What a source adds to the spread of values."""

    source: Literal['piece', 'setup', 'interaction', 'repeat', 'reproducibility', 'gauge', 'total']
    """Reproducibility: set-ups and their interaction with pieces. Gauge: that and the repeats. Total: all."""
    variance: Figure
    sd: Figure
    percent_study: Figure
    """Its standard deviation over that of the total."""
    percent_contribution: Figure
    """Its variance over that of the total."""
    was_negative: bool = False
    """Whether the estimate of the variance was below 0, and was set to 0."""


class LimitFacts(RecordPart):
    """How far two photos of a piece differ."""

    sd: Figure
    """Standard deviation of a single photo."""
    degrees_of_freedom: Figure
    limit: Figure
    """Two photos differ by less in 95 of 100 cases: 2.77 standard deviations."""
    limit_low: Figure | None = None
    """95 % interval of the limit; absent where no two photos differ, so that nothing can be told of it."""
    limit_high: Figure | None = None
    n_pairs: int
    """Pairs of photos of this kind in the study."""
    n_pairs_within: int
    """How many of them differ by no more than the limit."""


class SetupFacts(RecordPart):
    """One set-up by itself."""

    setup: str
    n_photos: int
    mean: Figure
    sd: Figure | None = None
    """Standard deviation of its photos of the same piece; absent where it took none twice."""
    degrees_of_freedom: int


class IccFacts(IntervalFacts):
    """An intraclass correlation."""

    name: str
    """By Shrout and Fleiss; with k, of the mean of so many values."""


class PointFacts(RecordPart):
    """A piece in a plot of Bland and Altman."""

    piece: str
    mean: Figure
    difference: Figure


class AgreementFacts(RecordPart):
    """How far two set-ups differ, the first less the second."""

    first: str
    second: str
    n_pieces: int
    sd: Figure
    bias: IntervalFacts
    lower_limit: IntervalFacts
    upper_limit: IntervalFacts
    points: tuple[PointFacts, ...]


class QuantityStudy(RecordPart):
    """One quantity: what its values depend on, and how well they repeat."""

    name: QuantityName
    words: str
    unit: str
    n_photos: int
    n_pieces: int
    n_setups: int
    is_balanced: bool
    is_pooled: bool
    """Whether the interaction was joined with the repeats, since chance alone gives as much."""
    has_repeats: bool
    """Whether any set-up photographed a piece twice."""
    anova: tuple[AnovaFacts, ...]
    components: tuple[ComponentFacts, ...]
    repeat: LimitFacts
    """Two photos by the same set-up."""
    between_setups: LimitFacts | None = None
    """Two photos by different set-ups."""
    distinct_categories: int | None = None
    """Classes of pieces that can be told apart; absent where the gauge or the pieces have no spread."""
    by_setup: tuple[SetupFacts, ...]
    icc: tuple[IccFacts, ...]
    icc_basis: str
    """What the correlations are of."""
    agreements: tuple[AgreementFacts, ...]
    notes: tuple[str, ...]


class NotStudied(RecordPart):
    """A quantity of which nothing can be told."""

    name: QuantityName
    reason: str


class KappaFacts(RecordPart):
    """How far two set-ups agree in the word for the condition."""

    first: str
    second: str
    n_pieces: int
    bands: tuple[str, ...]
    """The words, the best first."""
    table: tuple[tuple[int, ...], ...]
    """How many pieces; rows by the first, columns by the second."""
    n_same: int
    kappa: IntervalFacts | None = None
    """Unweighted; all are absent where all pieces have one word, so that chance alone agrees fully."""
    linear: IntervalFacts | None = None
    quadratic: IntervalFacts | None = None


class FleissFacts(RecordPart):
    """How far all set-ups agree in the word, on the pieces that all of them photographed."""

    n_setups: int
    n_pieces: int
    kappa: Figure


class AgainFacts(RecordPart):
    """How often a mark that one photo reports is reported by another one that sees its place well."""

    ratio: IntervalFacts
    n_again: int
    n_same_kind: int
    """How many of these call it the same kind of mark."""
    n_looks: int
    n_marks: int


class MarksAgain(RecordPart):
    """The same marks, by their place on the dome."""

    n_pieces: int
    same_setup: AgainFacts | None = None
    other_setup: AgainFacts | None = None


class Study(RecordPart):
    """A study of repeatability."""

    study_version: Literal[1] = 1
    grader: str
    """Version of the program that made the study."""
    record_graders: tuple[str, ...]
    """Versions that examined the photos."""
    rules_version: str
    pieces: tuple[str, ...]
    setups: tuple[str, ...]
    readings: tuple[ReadingFacts, ...]
    left_out: tuple[LeftOutFacts, ...]
    quantities: tuple[QuantityStudy, ...]
    not_studied: tuple[NotStudied, ...]
    band_agreements: tuple[KappaFacts, ...]
    band_agreement_of_all: FleissFacts | None = None
    """Where there are three set-ups or more."""
    marks_again: MarksAgain | None = None
    summary: tuple[str, ...]
    """The study in sentences."""
    doubts: tuple[str, ...]
    """What the study cannot tell."""

    def to_json(self) -> str:
        """Text of the study: the same study always gives the same text."""
        return json_text(self)

    def quantity(self, name: QuantityName) -> QuantityStudy | None:
        """The quantity of this name; None where nothing can be told of it."""
        return next((one for one in self.quantities if one.name == name), None)


def study_schema_text() -> str:
    """JSON Schema of the study, as it is shipped."""
    return schema_of(Study)
