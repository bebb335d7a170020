"""What she says on the page, noted in the review on the disk."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pydantic import Field, ValidationError

from calib.errors import ActionableError
from grader.commands.review_note import noted
from grader.commands.review_wishes import statement_of
from grader.errors import OutputNotWritable, SettingsInvalid
from grader.opencv_pin import pin_opencv
from grader.record_parts import RecordPart
from grader.review.acts import Wish
from grader.review.constants import MOST_REASON_LETTERS
from grader.review.review import Review
from grader.web.result_view import SEALED_WORDS
from grader.web.stored_result import StoredResult
from grader.web.viewer_constants import MOST_WISHES

_OPTION = re.compile(r'^--([a-z]+)[a-z-]*: ')
_COMMAND_LINE = re.compile(r'--[a-z]|"grader ')
_PLAIN_REMEDY = "Look at what you chose or drew, change it, and try again. Nothing was noted."


class Saying(RecordPart):
    """What the page sends."""

    entries: int = Field(ge=0)
    """Number of entries that she had before her."""
    wishes: tuple[Wish, ...] = Field(min_length=1, max_length=MOST_WISHES)
    """What is to be noted, all or nothing."""


@dataclass(frozen=True, slots=True)
class Noted:
    """What was noted."""

    review: Review
    notes: tuple[str, ...]
    """What she should know of it, such as that a photo was not at hand to measure on."""


def saying_from(data: bytes) -> Saying:
    """What the page sent.

    Raises
    ------
    SettingsInvalid
        If it is something else.
    """
    try:
        return Saying.model_validate_json(data)
    except ValidationError as err:
        first = err.errors()[0]
        place = '.'.join(str(part) for part in first['loc'])
        raise SettingsInvalid(
            f"What was sent cannot be noted (\"{place}\": {first['msg'].removeprefix('Value error, ')}).",
            "Reload the page and say it again. Nothing was noted.",
        ) from err


def note_saying(result: StoredResult, saying: Saying, now: datetime) -> Noted:
    """Note what was said, all or nothing.

    Raises
    ------
    ReviewGrown
        If the review has other entries by now than those she had before her.
    OutputNotWritable
        If the examination is sealed, or cannot be written.
    ActionableError
        If something of it does not fit; told in words of the page.
    """
    if result.is_sealed:
        raise OutputNotWritable(SEALED_WORDS, "Nothing was noted.")
    pin_opencv()
    notes: list[str] = []
    try:
        statements = [statement_of(_checked(wish), '', '', '', now) for wish in saying.wishes]
        review = noted(
            result.at_hand, saying.wishes, statements, result.more_photo_folders, notes.append, saying.entries
        )
    except SettingsInvalid as err:
        raise SettingsInvalid(*words_of_page(err)) from err
    return Noted(review, _without_prefix(notes))


def words_of_page(err: ActionableError) -> tuple[str, str]:
    """Problem and remedy without what only a command line has."""
    problem = _OPTION.sub(lambda option: f'{option[1].capitalize()}: ', err.problem)
    return problem, _PLAIN_REMEDY if _COMMAND_LINE.search(err.remedy) else err.remedy


def _checked(wish: Wish) -> Wish:
    if not wish.initials.strip():
        raise SettingsInvalid(
            "Your initials are missing: a review says of each mark who judged it.", "Type them, such as \"AB\"."
        )
    if not wish.reason.strip():
        raise SettingsInvalid(
            "The reason is missing: a review says of each mark why.",
            f"Choose one that is offered, or type your own in at most {MOST_REASON_LETTERS} letters.",
        )
    return wish


def _without_prefix(notes: Sequence[str]) -> tuple[str, ...]:
    return tuple(note.removeprefix("Note: ").strip() for note in notes)
