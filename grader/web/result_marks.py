"""Marks of a reviewed record as the page shows them: in words, and where each photo shows them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from grader.documents.condition_parts import mark_size
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.words import KIND_MEANINGS, KIND_WORDS, percent_words, points_words
from grader.marks.mark import MarkKind
from grader.record import GradingRecord, MarkFacts
from grader.report.constants import DRAWN_CONFIDENCE
from grader.report.table import LAYER_WORDS
from grader.review.review import ReviewedMark

Group = Literal['found', 'possible', 'doubtful', 'rejected']

GROUP_WORDS: Mapping[Group, tuple[str, str]] = {
    'found': ("Marks on the glass", ""),
    'possible': ("Possible marks", "Less likely than not, drawn dashed. Each counts in part."),
    'rejected': ("Not a mark, you say", "Drawn crossed out. They cost nothing."),
    'doubtful': ("Doubtful traces", "Very likely nothing. Drawn only when you choose one; you may know better."),
}
"""Heading and note of each group of the list."""


@dataclass(frozen=True, slots=True)
class MarkPlace:
    """Where one photo shows a mark."""

    photo: int
    """Number of the photo, from 0."""
    outline: tuple[tuple[float, float], ...]
    """Closed outline, px of the photo."""


@dataclass(frozen=True, slots=True)
class MarkView:
    """One mark in words."""

    number: int
    kind: str
    kind_words: str
    group: Group
    status: str
    """'not reviewed', 'confirmed', 'rejected' or 'added'."""
    size: str
    """With its uncertainty, where it is known."""
    place: str
    sure: str
    """How sure the program is, or what the person says."""
    depth: str
    cost: str
    found: str
    """What the program took it for."""
    reason: str
    """Why the person says so; '' where she says nothing."""
    photos: str
    """How many photos show it; '' for a single photo."""
    best_photo: int
    """Number of the photo to look at."""
    places: tuple[MarkPlace, ...]


def mark_views(record: GradingRecord, marks: Sequence[ReviewedMark]) -> tuple[MarkView, ...]:
    """Marks of a reviewed record, by number."""
    numbers = {photo.name: k for k, photo in enumerate(record.photos)}
    return tuple(_mark_view(one, record, numbers) for one in marks)


def kind_meanings() -> tuple[tuple[str, str, str], ...]:
    """Each kind of mark: its name in records, its word, and what it is."""
    return tuple((kind.value, KIND_WORDS[kind], KIND_MEANINGS[kind]) for kind in MarkKind)


def _mark_view(one: ReviewedMark, record: GradingRecord, numbers: Mapping[str, int]) -> MarkView:
    mark = one.mark
    places = _places(mark, record, numbers)
    in_set = record.photo_set is not None
    best = numbers.get(mark.photo or record.photo, 0)
    return MarkView(
        number=one.number,
        kind=mark.kind,
        kind_words=KIND_WORDS[MarkKind(mark.kind)],
        group=_group(one),
        status=one.status,
        # Lines may break at its blanks, since a narrow page with large text needs it.
        size=mark_size(mark).replace('\u00a0', ' '),
        place=mark.place_words,
        sure=_sure_words(one),
        depth=LAYER_WORDS[mark.layer],
        cost=_cost_words(one),
        found=_found_words(one),
        reason=one.reason,
        photos=f"seen in {len(places)} of {len(numbers)} photos" if in_set else "",
        best_photo=best if not places or any(place.photo == best for place in places) else places[0].photo,
        places=places,
    )


def _group(one: ReviewedMark) -> Group:
    if one.status == 'rejected':
        return 'rejected'
    if one.status != 'not reviewed' or one.mark.confidence >= REPORTED_CONFIDENCE:
        return 'found'
    return 'possible' if one.mark.confidence >= DRAWN_CONFIDENCE and one.mark.kind != 'dust' else 'doubtful'


def _places(mark: MarkFacts, record: GradingRecord, numbers: Mapping[str, int]) -> tuple[MarkPlace, ...]:
    if record.photo_set is None:
        return (MarkPlace(numbers.get(record.photo, 0), mark.outline_px),)
    outlines = {seen.photo: seen.outline_px for seen in mark.seen_in or ()}
    return tuple(MarkPlace(numbers[name], outline) for name, outline in outlines.items() if name in numbers)


def _sure_words(one: ReviewedMark) -> str:
    if one.status == 'not reviewed':
        return f"{one.mark.confidence_words} ({percent_words(one.mark.confidence)})"
    return f"{one.status} by {one.by}"


def _cost_words(one: ReviewedMark) -> str:
    if one.status == 'rejected':
        return "costs nothing"
    return f"costs {points_words(one.mark.cost_points)}"


def _found_words(one: ReviewedMark) -> str:
    if one.found_kind is None or one.found_confidence is None:
        return "The program did not find it."
    kind = KIND_WORDS[MarkKind(one.found_kind)]
    return f"The program took it for a {kind} ({percent_words(one.found_confidence)})."
