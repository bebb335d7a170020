"""Photos of an examination as the page shows them: what each can show, and what could not be seen in it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.errors import ActionableError
from grader.documents.condition_parts import doubt_words
from grader.marks.unseen import UnseenArea
from grader.record import Findings, GradingRecord, Measurement, Measurements
from grader.report.shown import shown_unseen
from grader.report.table import seen_words, unseen_words
from grader.report.wording import CLOCK_BY_CARD, CLOCK_BY_PHOTO, unseen_line
from grader.review.drawing_ground import check_drawable, findings_in


@dataclass(frozen=True, slots=True)
class UnseenView:
    """Parts of a photo in which marks could not be seen, for one reason."""

    letter: str
    words: str
    polygons: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True, slots=True)
class PhotoView:
    """One photo."""

    number: int
    """From 0."""
    name: str
    width: int
    height: int
    is_main: bool
    what: str
    """What the photo is, in words."""
    quality: str
    advice: tuple[str, ...]
    doubts: tuple[str, ...]
    outline: tuple[tuple[float, float], ...]
    """Of the piece, px."""
    unseen: tuple[UnseenView, ...]
    no_drawing: str
    """Why nothing can be drawn on it; '' where it can."""


@dataclass(frozen=True, slots=True)
class SizeView:
    """One size of the piece."""

    name: str
    text: str
    doubt: str
    """What its uncertainty is made of."""


@dataclass(frozen=True, slots=True)
class Notes:
    """What the page says below picture and list."""

    sizes: tuple[SizeView, ...]
    size_words: str
    """What is said instead of sizes, or beside them."""
    unseen: tuple[str, ...]
    """What could not be seen, in sentences."""
    flags: tuple[tuple[str, str], ...]
    """Reasons for doubt: short and long."""
    faults: tuple[tuple[str, str], ...]
    """Photos that could not be examined, and why."""
    clock: str
    """Where twelve o'clock is."""


def photo_views(record: GradingRecord) -> tuple[PhotoView, ...]:
    """Photos in the order of the record."""
    return tuple(_photo_view(record, k) for k in range(len(record.photos)))


def notes_of(record: GradingRecord) -> Notes:
    """What is to be said of a record besides its marks and its grade."""
    sizes = record.measurements
    named: list[tuple[str, Measurement | None]] = [
        ("Largest width", sizes.diameter_max_mm),
        ("Smallest width", sizes.diameter_min_mm),
        ("Height", sizes.height_mm),
        ("Width of the foot", sizes.base_mm),
        *_more_sizes(sizes),
    ]
    has_card = record.card.card != 'none'
    return Notes(
        sizes=tuple(SizeView(name, one.text, doubt_words(one)) for name, one in named if one is not None),
        size_words=_size_words(record),
        unseen=_unseen_sentences(record),
        flags=tuple((flag.short, flag.text) for flag in record.flags),
        faults=tuple((fault.name, f"{fault.problem} {fault.remedy}") for fault in record.faults),
        clock=CLOCK_BY_CARD if has_card else CLOCK_BY_PHOTO,
    )


def _more_sizes(sizes: Measurements) -> list[tuple[str, Measurement]]:
    """Sizes by which collectors name a piece of this form, unless they are told already under a plainer name."""
    if sizes.form is None:
        return []
    told = (sizes.diameter_max_mm, sizes.diameter_min_mm, sizes.height_mm, sizes.base_mm)
    return [(name.capitalize(), one) for name, one in sizes.form.sizes.items() if one not in told]


def _photo_view(record: GradingRecord, k: int) -> PhotoView:
    facts = record.photos[k]
    findings = findings_in(record, facts.name)
    quality = findings.quality
    return PhotoView(
        number=k,
        name=facts.name,
        width=facts.width_px,
        height=facts.height_px,
        is_main=facts.name == record.photo,
        what=quality.view_words,
        quality=f"{quality.verdict}; smallest marks that show: {quality.smallest_words}",
        advice=quality.advice,
        doubts=quality.doubts,
        outline=findings.outline_px,
        unseen=_unseen_views(findings),
        no_drawing=_no_drawing(record, facts.name),
    )


def _unseen_views(findings: Findings) -> tuple[UnseenView, ...]:
    areas = [UnseenArea(one.reason, np.array(one.polygon_px), one.area_ratio, one.area_mm2) for one in findings.unseen]
    return tuple(
        UnseenView(
            group.letter,
            unseen_line(group.reason, group.area_ratio, len(group.areas)),
            tuple(tuple((float(x), float(y)) for x, y in area.polygon_px) for area in group.areas),
        )
        for group in shown_unseen(areas)
    )


def _no_drawing(record: GradingRecord, name: str) -> str:
    if [photo.name for photo in record.photos].count(name) > 1:
        return "Two photos of this examination have the same name, so a drawing cannot say which it is on."
    try:
        check_drawable(record, name)
    except ActionableError as err:
        return str(err)
    return ""


def _size_words(record: GradingRecord) -> str:
    sizes = record.measurements
    if sizes.diameter_max_mm is not None:
        return "The doubt behind ± holds in about 95 of 100 cases (k = 2)."
    return (
        f"In photo {record.photo} the piece is {sizes.diameter_max_px:.0f} by {sizes.diameter_min_px:.0f} pixels. "
        "There was no card beside it, so no millimetres can be told; sizes of marks are shares of the largest width."
    )


def _unseen_sentences(record: GradingRecord) -> tuple[str, ...]:
    photos: Sequence[Findings] = record.other_findings or (record,)
    if record.photo_set is None:
        rest = _FROM_ABOVE if record.quality.view == 'above' else _ONE_PHOTO
        return f"Could not be seen: {unseen_words(record)}. Damage may hide there.", rest
    return (
        f"Seen: {seen_words(record.photo_set)}. Damage may hide where nothing could be seen.",
        *(f"{one.photo}: could not be seen in this photo: {unseen_words(one)}." for one in photos),
    )


_FROM_ABOVE = "A photo from above says nothing of what lies below the widest ring, nor of the underside."
_ONE_PHOTO = "One photo says nothing of the sides that are turned away from it, nor of the underside."
