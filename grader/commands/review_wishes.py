"""What a person wants to be noted, from the words behind ``grader review`` or from a file."""

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from grader.commands.options import time_from
from grader.errors import SettingsInvalid, cut_short
from grader.review.acts import KINDS, AddMark, Confirm, Drawing, Redraw, Reject, Relabel, Undo, Wish
from grader.review.constants import MOST_REASON_LETTERS
from grader.review.review import Statement

USAGE = (
    "Say one of: list; confirm N...; reject N...; relabel N KIND; redraw N --polygon \"X,Y X,Y X,Y\"; "
    "add KIND --polygon \"...\" or --line \"...\"; undo [ENTRY]."
)
_POINTS = re.compile(r'[\s;]+')
_WISHES = TypeAdapter(tuple[Wish, ...])


@dataclass(frozen=True, slots=True)
class DrawingOptions:
    """A drawing as the command line gives it."""

    polygon: str = ''
    line: str = ''
    photo: str = ''
    width_mm: float | None = None

    @property
    def is_given(self) -> bool:
        """Whether any of it is."""
        return bool(self.polygon or self.line or self.width_mm is not None)

    def drawing(self) -> Drawing:
        """The drawing.

        Raises
        ------
        SettingsInvalid
            If there is none, or it cannot be one.
        """
        if bool(self.polygon) == bool(self.line):
            raise SettingsInvalid(
                "A drawing needs either --polygon or --line.",
                "Give --polygon \"X,Y X,Y X,Y\" round the mark, or --line \"X,Y X,Y\" along a scratch.",
            )
        shape: Literal['outline', 'line'] = 'outline' if self.polygon else 'line'
        option = '--polygon' if self.polygon else '--line'
        fields = {'photo': self.photo, 'shape': shape, 'points_px': _points(self.polygon or self.line, option)}
        try:
            return Drawing.model_validate({**fields, 'width_mm': self.width_mm})
        except ValidationError as err:
            raise SettingsInvalid(f"{option}: {_first_fault(err)}.", "Give as many points x,y as it needs.") from err


def wishes_from_words(words: Sequence[str], options: DrawingOptions) -> tuple[Wish, ...]:
    """What the words behind the record's name ask for; nothing for "list" or no words.

    Raises
    ------
    SettingsInvalid
        If they cannot be understood.
    """
    name, rest = (words[0], words[1:]) if words else ('list', [])
    if options.is_given and name not in ('redraw', 'add'):
        raise SettingsInvalid(f"\"{name}\" takes no drawing.", "Leave --polygon, --line and --width-mm out.")
    if name == 'list' and not rest:
        return ()
    if name in ('confirm', 'reject') and rest:
        act = Confirm if name == 'confirm' else Reject
        return tuple(Wish(act=act(mark=_number(word))) for word in rest)
    if name == 'relabel' and len(rest) == 2:
        return (Wish(act=Relabel.model_validate({'mark': _number(rest[0]), 'kind': _kind(rest[1])})),)
    if name == 'redraw' and len(rest) == 1:
        return (Wish(act=Redraw(mark=_number(rest[0]), drawing=options.drawing())),)
    if name == 'add' and len(rest) == 1:
        return (Wish(act=AddMark.model_validate({'kind': _kind(rest[0]), 'drawing': options.drawing()})),)
    if name == 'undo' and len(rest) <= 1:
        return (Wish(act=Undo(entry=_number(rest[0]) if rest else None)),)
    raise SettingsInvalid(f"\"{' '.join(words)}\" is nothing that can be said of a mark.", USAGE)


def wishes_from_file(path: Path) -> tuple[Wish, ...]:
    """Acts of a JSON file.

    Raises
    ------
    SettingsInvalid
        If the file is missing or holds something else.
    """
    try:
        return _WISHES.validate_json(json.dumps(json.loads(path.read_bytes())))
    except OSError as err:
        raise SettingsInvalid(
            f"--actions: {path} cannot be opened ({err.strerror or err}).", "Check the name and the folder."
        ) from err
    except ValidationError as err:
        raise SettingsInvalid(
            f"--actions: {path.name} is not a list of acts: {_first_fault(err)}.", "See README for an example."
        ) from err
    except (ValueError, RecursionError) as err:
        raise SettingsInvalid(f"--actions: {path.name} is not JSON text.", "See README for an example.") from err


def statement_of(wish: Wish, initials: str, reason: str, when: str, clock: datetime) -> Statement:
    """Who says it, when and why.

    Parameters
    ----------
    wish
        What is to be noted; what it says itself goes before the rest.
    initials, reason, when
        From the command line.
    clock
        The computer's time, which is taken, and marked as such, where nobody states one.

    Raises
    ------
    SettingsInvalid
        If initials or reason are missing, or the time is none.
    """
    who, why = (wish.initials or initials).strip(), ' '.join((wish.reason or reason).split())
    if not who or not why:
        missing = "--initials" if not who else "--reason"
        raise SettingsInvalid(
            f"{missing} is missing: a review says of each mark who judged it, and why.",
            "Add for instance --initials AB --reason \"felt with a fingernail\".",
        )
    stated = time_from(wish.when or when)
    try:
        return Statement(
            initials=who,
            reason=why,
            at=(clock if stated is None else stated).isoformat(timespec='seconds'),
            clock='computer' if stated is None else 'stated',
        )
    except ValidationError as err:
        if err.errors()[0]['loc'] == ('initials',):
            raise SettingsInvalid(
                f"--initials: \"{who}\" cannot be initials.", "Give one to eight letters without a space."
            ) from err
        raise SettingsInvalid(
            "--reason: this is too long, or holds signs that are no letters.",
            f"Give plain words, {MOST_REASON_LETTERS} letters at most.",
        ) from err


def _points(text: str, option: str) -> list[tuple[float, float]]:
    try:
        pairs = [tuple(float(part) for part in word.split(',')) for word in _POINTS.split(text.strip())]
    except ValueError:
        pairs = [()]
    if any(len(pair) != 2 for pair in pairs):
        raise SettingsInvalid(
            f"{option}: \"{text}\" are not points.", "Give points as \"812,440 830,452 825,470\", x before y."
        )
    return [(pair[0], pair[1]) for pair in pairs]


def _number(word: str) -> int:
    if not re.fullmatch('[1-9][0-9]{0,5}', word, re.ASCII):
        raise SettingsInvalid(f"\"{word}\" is not a mark's or an entry's number.", USAGE)
    return int(word)


def _kind(word: str) -> str:
    if word not in KINDS:
        raise SettingsInvalid(f"\"{word}\" is no kind of mark.", f"Give one of: {', '.join(KINDS)}.")
    return word


def _first_fault(err: ValidationError) -> str:
    first = err.errors()[0]
    place = '.'.join(str(part) for part in first['loc'])
    message = first['msg'].removeprefix('Value error, ')
    return cut_short(f"\"{place}\": {message}" if place else message)
