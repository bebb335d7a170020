"""What a history says: what surely changed, and what did not surely change."""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import pairwise

from grader.collection.history import COUNTED_KINDS, History, Length, PastExamination

_DAMAGE_KINDS = ('scratch', 'chip', 'bruise')


class Direction(StrEnum):
    """How a length or a score differs between two examinations."""

    DOWN = 'down'
    UP = 'up'
    NOT_SURE = 'not surely changed'


def judge_lengths(before: Length, after: Length) -> Direction:
    """Whether a length surely changed: by more than both expanded uncertainties together.

    Their plain sum is asked for, not the root of the sum of squares: part of the doubt, such as the card's print, may
    lie the same way in both or not, and taking off glass is not said lightly.
    """
    allowed_mm = before.expanded_mm + after.expanded_mm
    if after.value_mm < before.value_mm - allowed_mm:
        return Direction.DOWN
    return Direction.UP if after.value_mm > before.value_mm + allowed_mm else Direction.NOT_SURE


def judge_scores(before: PastExamination, after: PastExamination) -> Direction:
    """Whether a score surely changed: the two ranges do not meet."""
    if after.interval[1] < before.interval[0]:
        return Direction.DOWN
    return Direction.UP if after.interval[0] > before.interval[1] else Direction.NOT_SURE


def history_notes(history: History) -> tuple[str, ...]:
    """Sentences on a history: each step, then from the first to the last where no step tells it."""
    done = history.examinations
    if len(done) < 2:
        return ("There are fewer than two examinations, so nothing can be compared.",)
    notes: list[str] = []
    told: set[tuple[str, Direction]] = set()
    pairs = [*pairwise(done), *([(done[0], done[-1])] if len(done) > 2 else [])]
    for before, after in pairs:
        for name, direction, words in _changes(before, after):
            is_first_to_last = before is done[0] and after is done[-1]
            if not (is_first_to_last and (name, direction) in told):
                notes.append(words)
                told.add((name, direction))
    unchanged = _unchanged(done[0], done[-1], {name for name, _ in told})
    return (*notes, *unchanged, *_rules_note(done), _marks_note(done[0], done[-1]))


def _changes(before: PastExamination, after: PastExamination) -> Iterator[tuple[str, Direction, str]]:
    """What surely changed between two examinations, in words."""
    smaller = [name for name in _common(before, after) if _judge(name, before, after) is Direction.DOWN]
    for name in _common(before, after):
        direction = _judge(name, before, after)
        if direction is not Direction.NOT_SURE:
            meaning = _smaller_words(name, smaller, before, after) if direction is Direction.DOWN else _LARGER_WORDS
            yield name, direction, f"{_length_words(name, before, after)} {meaning}"
    direction = judge_scores(before, after)
    if direction is not Direction.NOT_SURE:
        verb = "fell" if direction is Direction.DOWN else "rose"
        yield (
            'score',
            direction,
            f"The score {verb} from {_score_words(before)} in {before.name} to {_score_words(after)} in {after.name}, "
            "more than the photos leave open.",
        )


_LARGER_WORDS = (
    "Glass does not grow: this may be another piece, the card may be another print of another size, or one of the two "
    "measurements is wrong."
)


def _smaller_words(name: str, smaller: list[str], before: PastExamination, after: PastExamination) -> str:
    """What may have made a piece smaller."""
    if name == "height" and "largest width" not in smaller:
        words = "Glass was lost: by wear or grinding of the foot, or by re-polishing of the top."
    elif name == "foot":
        words = "Glass was lost: by grinding of the foot, or by re-polishing."
    else:
        words = "Glass was taken off: this is a sign of re-polishing."
    if _n_damage(after) < _n_damage(before):
        words += " That fewer marks are found than before fits it."
    return words


def _length_words(name: str, before: PastExamination, after: PastExamination) -> str:
    one, two = before.lengths[name], after.lengths[name]
    more = "less" if two.value_mm < one.value_mm else "more"
    return (
        f"The {name} is {abs(two.value_mm - one.value_mm):.2f} mm {more} in {after.name} than in {before.name} "
        f"({one.value_mm:.2f} ± {one.expanded_mm:.2f} mm before, {two.value_mm:.2f} ± {two.expanded_mm:.2f} mm after), "
        "which is beyond both uncertainties together."
    )


def _unchanged(first: PastExamination, last: PastExamination, told: set[str]) -> Iterator[str]:
    names = [name for name in _common(first, last) if name not in told]
    if names:
        yield f"Not surely changed: {', '.join(names)}."
    elif not _common(first, last):
        yield "Sizes cannot be compared: they were not measured in millimetres both times."
    if 'score' not in told:
        yield f"The score is not surely changed: {_score_words(first)} first, {_score_words(last)} last."


def _rules_note(done: Sequence[PastExamination]) -> Iterator[str]:
    versions = sorted({one.rules_version for one in done})
    if len(versions) > 1:
        yield f"The scores were made by different rules ({', '.join(versions)}), which may be part of a change."


def _marks_note(first: PastExamination, last: PastExamination) -> str:
    counts = [
        f"{kind} {first.n_marks[kind]} to {last.n_marks[kind]}"
        for kind in COUNTED_KINDS
        if first.n_marks[kind] != last.n_marks[kind]
    ]
    if not counts:
        return "As many marks of each kind are found in the last examination as in the first."
    return (
        f"Marks found, first to last: {', '.join(counts)}. How many show depends on light and photo as well: look at "
        "both pictures before you call a mark new or gone."
    )


def _judge(name: str, before: PastExamination, after: PastExamination) -> Direction:
    return judge_lengths(before.lengths[name], after.lengths[name])


def _common(before: PastExamination, after: PastExamination) -> list[str]:
    return [name for name in before.lengths if name in after.lengths]


def _score_words(one: PastExamination) -> str:
    return f"{one.score:.0f} ({one.interval[0]:.0f} to {one.interval[1]:.0f})"


def _n_damage(one: PastExamination) -> int:
    return sum(one.n_marks[kind] for kind in _DAMAGE_KINDS)
