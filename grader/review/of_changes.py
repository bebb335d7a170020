"""What a person said of the marks that a comparison tells as changes.

A comparison looks at the photos anew and does not use any review. So that it does not contradict a person without a
word, her word is found by place: the mark of her examination that lies where the comparison shows the change.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from grader.compare.sides import Side
from grader.comparison import ChangeFacts, Comparison
from grader.comparison_words import SIDE_WORDS
from grader.grade.words import KIND_WORDS
from grader.marks.mark import MarkKind
from grader.record import GradingRecord, MarkFacts
from grader.record_parts import PointPx
from grader.review.constants import SAME_PLACE_RATIO
from grader.review.review import ReviewedMark, ReviewedRecord

_PHOTOS_ALONE = "The comparison goes by the photos alone."

_Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class SideReview:
    """The record of one side, and what a person made of it."""

    side: Side
    record: GradingRecord
    result: ReviewedRecord


@dataclass(frozen=True, slots=True)
class HerWord:
    """What a person said of a change."""

    change: int
    """Number of the change; 0 for a mark of which the comparison does not know."""
    status: str
    """Confirmed, rejected or added."""
    words: str


def words_on_changes(comparison: Comparison, reviews: Sequence[SideReview]) -> tuple[HerWord, ...]:
    """Return what was said of each change, by number; last, what a person added and the comparison does not know."""
    found: list[HerWord] = []
    for review in reviews:
        for mark in review.result.marks:
            if mark.status != 'not reviewed':
                found += _words_on(mark, review, comparison.changes)
    return tuple(sorted(found, key=lambda one: (one.change == 0, one.change)))


def beside(words: Sequence[HerWord]) -> Mapping[int, tuple[str, ...]]:
    """Return the words by number of the change, for a page that shows the changes."""
    numbers = {one.change for one in words}
    return {number: tuple(one.words for one in words if one.change == number) for number in numbers}


def contradictions(comparison: Comparison, words: Sequence[HerWord]) -> tuple[int, ...]:
    """Return the numbers of the changes that are told as damage and that a person rejected."""
    told = {one.number for one in comparison.changes if one.is_new_damage}
    return tuple(sorted({one.change for one in words if one.status == 'rejected'} & told))


def _words_on(mark: ReviewedMark, review: SideReview, changes: Sequence[ChangeFacts]) -> list[HerWord]:
    places = _places(mark, review.record)
    hit = [one.number for one in changes if _is_at(one, review.side, places)]
    if not hit and mark.status != 'added':
        return []
    return [HerWord(number, mark.status, _sentence(mark, review.side, number)) for number in hit or [0]]


def _sentence(mark: ReviewedMark, side: Side, change: int) -> str:
    kind = KIND_WORDS[MarkKind(mark.mark.kind)]
    where = f"mark {mark.number} of the {SIDE_WORDS[side]} examination"
    reason = f" ({mark.reason})" if mark.reason else ""
    if mark.status == 'rejected':
        return f"{mark.by} rejected {where}, which lies here: there is no such mark{reason}. {_PHOTOS_ALONE}"
    if mark.status == 'added':
        place = f", {mark.mark.place_words}" if mark.mark.place_words else ""
        known = "which lies here" if change else "of which the comparison knows nothing"
        return f"{mark.by} added {where}, a {kind}{place}, {known}{reason}."
    other = mark.found_kind is not None and mark.found_kind != mark.mark.kind
    said = f"as a {kind} and no {KIND_WORDS[MarkKind(str(mark.found_kind))]}" if other else f"as a {kind}"
    return f"{mark.by} confirmed {where}, which lies here, {said}{reason}."


def _places(mark: ReviewedMark, record: GradingRecord) -> dict[str, tuple[_Box, ...]]:
    """Where photos show a mark, by their names: as found, and as she drew it."""
    shown: list[tuple[str, Sequence[PointPx]]] = _shown(mark.mark, record)
    for found in record.marks:
        if found.number == mark.number:
            shown += _shown(found, record)
    names = {name for name, _ in shown}
    return {name: tuple(_box(outline) for one, outline in shown if one == name) for name in names}


def _shown(mark: MarkFacts, record: GradingRecord) -> list[tuple[str, Sequence[PointPx]]]:
    own: list[tuple[str, Sequence[PointPx]]] = [(mark.photo or record.photo, mark.outline_px)]
    return own + [(seen.photo, seen.outline_px) for seen in mark.seen_in or ()]


def _is_at(change: ChangeFacts, side: Side, places: Mapping[str, Sequence[_Box]]) -> bool:
    for seen in change.seen_in:
        if seen.side == side and any(_overlap(_box(seen.outline_px), box) for box in places.get(seen.photo, ())):
            return True
    return False


def _box(outline: Sequence[PointPx]) -> _Box:
    if not outline:
        return 0.0, 0.0, 0.0, 0.0
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def _overlap(one: _Box, other: _Box) -> bool:
    """Whether two boxes share so much of the smaller one that they are of one mark."""
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    if width <= 0 or height <= 0:
        return False
    least = min((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other))
    return width * height >= SAME_PLACE_RATIO * least
