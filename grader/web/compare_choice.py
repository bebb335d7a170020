"""Which two examinations of a piece are compared: what is offered, and whether what was chosen can be."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from grader.collection.examinations import StoredExamination, examinations_of, is_sealed, stated_time
from grader.compare.stated_size import read_stated_size
from grader.documents.shared_parts import time_words
from grader.errors import PieceNotFound, SettingsInvalid

MOST_SIZES = 4
"""Most stated sizes. Source: width and height, each in two units."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One examination to choose."""

    number: int
    label: str


@dataclass(frozen=True, slots=True)
class Choices:
    """What is offered."""

    examinations: tuple[Choice, ...]
    """In the order in which they were stored."""
    before: int
    """Number of the earlier one that is proposed, 0 where there are fewer than two."""
    after: int


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is compared."""

    before: int
    after: int
    stated: tuple[str, ...]
    """Sizes that a seller states, as they were typed."""


def choices_of(piece_folder: Path) -> Choices:
    """Examinations of a piece to choose from; the last two by time, where all state one, are proposed."""
    stored = [one for one in examinations_of(piece_folder) if one.record_file() is not None]
    times = [_time_of(one) for one in stored]
    offered = tuple(Choice(one.number, _label(one, time)) for one, time in zip(stored, times, strict=True))
    # The sealed form of an examination is the same photos once more, so the open ones are proposed.
    order = [k for k, one in enumerate(stored) if not is_sealed(one.folder)] or list(range(len(stored)))
    if all(times[k] for k in order):
        order.sort(key=lambda k: (_as_time(times[k]), k))
    if len(order) < 2:
        order = list(range(len(stored)))
    if len(order) < 2:
        return Choices(offered, 0, 0)
    return Choices(offered, stored[order[-2]].number, stored[order[-1]].number)


def checked_choice(piece_folder: Path, before: str, after: str, stated: Sequence[str]) -> Chosen:
    """What was chosen, if it can be compared.

    Raises
    ------
    SettingsInvalid
        If both are the same one, the earlier one is later, or a size is none.
    PieceNotFound
        If the piece has no such examination.
    """
    known = {one.number: one for one in examinations_of(piece_folder)}
    numbers = [int(text) if text.isdecimal() and text.isascii() and len(text) <= 4 else 0 for text in (before, after)]
    for number in numbers:
        if number not in known:
            raise PieceNotFound("One of the two is no examination of this piece.", "Choose both from the lists.")
    if numbers[0] == numbers[1]:
        raise SettingsInvalid("Both are the same examination.", "Choose two different ones.")
    times = [_time_of(known[number]) for number in numbers]
    if all(times) and _as_time(times[0]) > _as_time(times[1]):
        raise SettingsInvalid(
            f"The one chosen as the earlier ({time_words(times[0])}) was made after the other "
            f"({time_words(times[1])}).",
            "Choose them the other way round.",
        )
    sizes = [text.strip() for text in stated if text.strip()]
    if len(sizes) > MOST_SIZES:
        raise SettingsInvalid(f"At most {MOST_SIZES} stated sizes can be checked.", "Leave some out.")
    for text in sizes:
        _check_size(text)
    return Chosen(numbers[0], numbers[1], tuple(sizes))


def _check_size(text: str) -> None:
    try:
        read_stated_size(text)
    except SettingsInvalid as err:
        # The name of the command's option means nothing on a page.
        raise SettingsInvalid(err.problem.removeprefix("--stated-size: "), err.remedy) from err


def _time_of(one: StoredExamination) -> str:
    """Time that the record states, '' where it states none that can be read."""
    path = one.record_file()
    text = '' if path is None else stated_time(path)
    try:
        datetime.fromisoformat(text)
    except ValueError:
        return ''
    return text


def _as_time(text: str) -> datetime:
    time = datetime.fromisoformat(text)
    return time.replace(tzinfo=None) if time.tzinfo is None else time.astimezone().replace(tzinfo=None)


def _label(one: StoredExamination, time: str) -> str:
    sealed = ", sealed" if is_sealed(one.folder) else ""
    return f"{one.number}: {time_words(time) if time else 'date not stated'}{sealed}"
