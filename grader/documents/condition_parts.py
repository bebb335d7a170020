"""Measurements and marks of a condition report."""

import math
from collections.abc import Sequence

from calib.measured import Measured
from grader.documents.blocks import Block, Card, Cards, Column, Figure, Heading, Points, Table, Words
from grader.documents.constants import CARD_NAME_LETTERS, OTHER_FIGURE_RATIO
from grader.documents.examined import ExaminedPiece, listed_marks, possible_marks
from grader.documents.mark_pictures import PlacedMark, close_up, enlargement, piece_picture, placed_marks, unseen_areas
from grader.documents.pictures import picture_of
from grader.documents.review_part import added_marks
from grader.grade.words import KIND_MEANINGS, KIND_WORDS, count_words, percent_words
from grader.marks.mark import MarkKind
from grader.record import Findings, GradeFacts, GradingRecord, MarkFacts, Measurement
from grader.report.shown import shown_unseen
from grader.report.table import LAYER_WORDS
from grader.report.wording import plus_minus, shortened

_CLOSE_UP_COLUMNS = 3
_SINGLE_COLUMNS = (
    Column("No.", 0.06),
    Column("Mark", 0.13),
    Column("Size", 0.31),
    Column("Where", 0.29),
    Column("How sure", 0.21),
)
_SET_COLUMNS = (
    Column("No.", 0.05),
    Column("Mark", 0.10),
    Column("Size", 0.21),
    Column("Where", 0.23),
    Column("Depth", 0.12),
    Column("Photos", 0.08),
    Column("How sure", 0.21),
)


def measurements_part(record: GradingRecord) -> tuple[Block, ...]:
    """Return the sizes, each with its doubt and what that is made of."""
    sizes = record.measurements
    if sizes.diameter_max_mm is None:
        return (
            Heading("Measurements"),
            Words(
                f"In photo {record.photo} the piece is {sizes.diameter_max_px:.0f} by {sizes.diameter_min_px:.0f} "
                "pixels. There was no card beside it, so no millimetres can be told; sizes of marks are shares of the "
                "largest width."
            ),
        )
    named: list[tuple[str, Measurement | None]] = [
        ("Largest width", sizes.diameter_max_mm),
        ("Smallest width", sizes.diameter_min_mm),
        ("Height", sizes.height_mm),
        ("Width of the foot", sizes.base_mm),
        *((name.capitalize(), one) for name, one in (sizes.form.sizes.items() if sizes.form is not None else ())),
    ]
    rows = tuple((name, one.text, doubt_words(one)) for name, one in named if one is not None)
    form = (Words(f"Form: {sizes.form.words}."),) if sizes.form is not None else ()
    return (
        Heading("Measurements"),
        *form,
        Table((Column("What", 0.2), Column("Value and doubt", 0.27), Column("What the doubt is made of", 0.53)), rows),
        Words(
            "The doubt behind ± holds in about 95 of 100 cases (k = 2); its parts are standard uncertainties (k = 1). "
            "Widths are those of the outline seen from straight above.",
            'note',
        ),
    )


def condition_part(examined: ExaminedPiece) -> tuple[Block, ...]:
    """Return the grade, the piece with its marks, their table and a close-up of each."""
    record = examined.record
    listed, possible = listed_marks(record.marks), possible_marks(record.marks)
    added = added_marks(examined.review)
    by = "" if examined.review is None else "By the program's findings: "
    return (
        Heading("Condition"),
        Words(f"{by}{record.grade.headline}. Score: {score_words(record.grade)}.", 'lead'),
        Points(record.grade.reasons),
        Words(
            f"By the grade rules {record.grade.rules_version}; 100 is a piece without any mark. The range covers what "
            "the photos leave open.",
            'note',
        ),
        *_figures(examined, (*listed, *possible, *added)),
        *marks_table(record, listed, "Marks, one by one"),
        *(marks_table(record, possible, "Possible marks, less likely than not") if possible else ()),
        *(marks_table(record, added, "Marks that a person added") if added else ()),
        *_close_ups(examined, (*listed, *possible, *added)),
    )


def score_words(grade: GradeFacts) -> str:
    """Return score and range; the range is rounded outwards, so that it is not told narrower than it is."""
    low, high = grade.interval
    return f"{grade.score:.0f} of 100, between {math.floor(low)} and {math.ceil(high)}"


def marks_words(marks: Sequence[MarkFacts]) -> str:
    """Return how many marks of each kind are listed."""
    listed = listed_marks(marks)
    if not listed:
        return "none found where the photos show the glass"
    counts = {kind: sum(mark.kind == kind for mark in listed) for kind in MarkKind}
    return ", ".join(count_words(kind, n) for kind, n in counts.items() if n)


def marks_table(record: GradingRecord, marks: Sequence[MarkFacts], heading: str) -> tuple[Block, ...]:
    """Return the table of some marks."""
    if not marks:
        return Heading(heading, 2), Words("No mark was found where the photos show the glass.")
    in_set = record.photo_set is not None
    rows = tuple(_row(mark, len(record.photos), in_set=in_set) for mark in marks)
    meanings = "; ".join(f"{KIND_WORDS[kind]}: {KIND_MEANINGS[kind]}" for kind in _kinds(marks))
    columns = _SET_COLUMNS if in_set else _SINGLE_COLUMNS
    return Heading(heading, 2), Table(columns, rows), Words(f"{meanings}.", 'note')


def _row(mark: MarkFacts, n_photos: int, *, in_set: bool) -> tuple[str, ...]:
    start = (str(mark.number), KIND_WORDS[MarkKind(mark.kind)], mark_size(mark), mark.place_words)
    sure = f"{mark.confidence_words} ({percent_words(mark.confidence)})"
    if not in_set:
        return (*start, sure)
    n_seen = len({seen.photo for seen in mark.seen_in or ()})
    return (*start, LAYER_WORDS[mark.layer], f"{n_seen} of {n_photos}", sure)


def mark_size(mark: MarkFacts) -> str:
    """Return a mark's size, with its doubt where there are millimetres."""
    if mark.kind not in ('scratch', 'dust'):
        across = _with_doubt(mark.diameter_mm, mark.u_diameter_mm)
        return f"{across} across" if across else mark.size_words
    long, wide = _with_doubt(mark.length_mm, mark.u_length_mm), _with_doubt(mark.width_mm, mark.u_width_mm)
    return f"{long} long, {wide} wide" if long and wide else mark.size_words


def _with_doubt(size_mm: float | None, u_mm: float | None) -> str:
    """A length with its expanded uncertainty, its parts kept on one line; '' where it is not known."""
    if size_mm is None or u_mm is None:
        return ""
    return plus_minus(Measured(size_mm, (("mark", u_mm),))).replace(' ', '\u00a0')


def doubt_words(size: Measurement) -> str:
    """The causes of a doubt, the largest first."""
    parts = sorted(size.components.items(), key=lambda part: -part[1])
    return "; ".join(f"{cause} {u_mm:.2g} mm" for cause, u_mm in parts if u_mm > 0)


def _kinds(marks: Sequence[MarkFacts]) -> list[MarkKind]:
    return [kind for kind in MarkKind if any(mark.kind == kind for mark in marks)]


def _figures(examined: ExaminedPiece, marks: Sequence[MarkFacts]) -> tuple[Block, ...]:
    """Return the main photo with its marks, and each other one that shows a mark which those before do not."""
    record = examined.record
    figures: list[Block] = []
    shown: set[int] = set()
    for k, findings in enumerate(examined.findings):
        placed = placed_marks(marks, findings.photo, record.photo)
        if k > 0 and {one.facts.number for one in placed} <= shown:
            continue
        shown |= {one.facts.number for one in placed}
        picture = piece_picture(examined.rgb_of(findings.photo), findings, placed, with_clock=k == 0)
        shown_as = picture_of(picture, f"Marks in photo {findings.photo}")
        figures.append(Figure(shown_as, _caption(findings, placed, k), 1.0 if k == 0 else OTHER_FIGURE_RATIO))
    return tuple(figures)


def _caption(findings: Findings, placed: Sequence[PlacedMark], k: int) -> str:
    numbers = "The numbers are those of the table; dashed: less likely than not." if placed else "No mark is listed."
    groups = shown_unseen(unseen_areas(findings))
    letters = "; ".join(f"{one.letter} {one.reason}, {percent_words(one.area_ratio)}" for one in groups)
    hatched = f" Hatched: could not be seen ({letters})." if letters else ""
    clock = "" if k > 0 or not placed else f" 12 o'clock is {_noon_words(findings)}."
    return f"Photo {findings.photo}. {numbers}{hatched}{clock} The bar holds at the piece's widest ring."


def _noon_words(findings: Findings) -> str:
    return "the top of the photo" if findings.card.card == 'none' else "the card's top edge"


def _close_ups(examined: ExaminedPiece, marks: Sequence[MarkFacts]) -> tuple[Block, ...]:
    cards = tuple(_close_up_card(examined, mark) for mark in marks)
    if not cards:
        return ()
    note = (
        "Cut from the photos and enlarged; enlarging blends neighbouring pixels and adds nothing. The line runs "
        "beside the mark, never over it. The bar holds along the mark's length; on slanting glass other directions "
        "look shorter."
    )
    return Heading("Each mark, close up", 2), Words(note, 'note'), Cards(cards, _CLOSE_UP_COLUMNS)


def _close_up_card(examined: ExaminedPiece, mark: MarkFacts) -> Card:
    photo = mark.photo or examined.record.photo
    placed = placed_marks((mark,), photo, examined.record.photo)[0]
    piece_px = next(one.measurements.diameter_max_px for one in examined.findings if one.photo == photo)
    kind = KIND_WORDS[MarkKind(mark.kind)]
    picture = picture_of(
        close_up(examined.rgb_of(photo), placed, piece_px),
        f"Close-up of mark {mark.number}, a {kind}, in photo {photo}",
    )
    times = enlargement(placed, piece_px)
    by = f"{times:.1f}" if times < 10 else f"{times:.0f}"
    lines = (
        f"{mark_size(mark)}; {mark.place_words}",
        f"{mark.confidence_words} ({percent_words(mark.confidence)})",
        f"{shortened(photo, CARD_NAME_LETTERS)}, enlarged {by} times",
    )
    return Card((picture,), f"{mark.number} · {kind}", lines)
