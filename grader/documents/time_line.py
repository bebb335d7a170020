"""What happened when: as the user states it, as the camera's clock and the records have it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from grader.comparison import Comparison
from grader.documents.blocks import Block, Column, Heading, Table, Words
from grader.documents.shared_parts import time_words
from grader.errors import SettingsInvalid

_EVENT = re.compile(r'\s*([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ]([0-9]{2}:[0-9]{2}))?[\s:,]+(.*\S)\s*', re.DOTALL)
BY_USER, BY_CAMERA, BY_RECORD = "as the user states", "by the camera's clock", "as the record states"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened."""

    when: str
    """Date, or date and time, such as "2026-03-02" or "2026-03-02, 10:30"."""
    words: str
    source: str
    """Who says so."""


def event_from(text: str) -> Event:
    """Event from words such as "2026-03-02 posted with a tracked service".

    Raises
    ------
    SettingsInvalid
        If there is no date before the words.
    """
    found = _EVENT.fullmatch(text)
    wrong = SettingsInvalid(
        f"--event \"{text}\": a date and what happened are needed.",
        "Write it as \"2026-03-02 handed to the carrier\", or with the time: \"2026-03-02 10:30 handed over\".",
    )
    if found is None:
        raise wrong
    day, clock, words = found[1], found[2], found[3]
    try:
        datetime.fromisoformat(f'{day}T{clock}' if clock else day)
    except ValueError as err:
        raise wrong from err
    return Event(f"{day}, {clock}" if clock else day, words, BY_USER)


def events_of(comparison: Comparison, names: tuple[str, str], given: Sequence[Event]) -> tuple[Event, ...]:
    """Return all events, the earliest first; `names` are what the earlier and the later side are called."""
    events = list(given)
    for name, side in zip(names, (comparison.before, comparison.after), strict=True):
        for one in side.photos:
            if one.photo.taken_at:
                events.append(Event(_camera_time(one.photo.taken_at), f"{name}: photo {one.photo.name}", BY_CAMERA))
        if side.record_made_at:
            events.append(Event(time_words(side.record_made_at), f"{name}: examined", BY_RECORD))
    if comparison.made_at:
        events.append(Event(time_words(comparison.made_at), "Both sides compared", BY_RECORD))
    return tuple(sorted(events, key=lambda event: event.when))


def time_line_part(events: Sequence[Event]) -> tuple[Block, ...]:
    """Return the time line."""
    if not events:
        return (
            Heading("Time line"),
            Words("No dates were given, and the photos state none."),
        )
    rows = tuple((event.when, event.words, event.source) for event in events)
    return (
        Heading("Time line"),
        Table((Column("When", 0.2), Column("What", 0.55), Column("Who says so", 0.25)), rows),
        Words("Dates are told and not proved: a camera's clock can be wrong, and anybody can type a date.", 'note'),
    )


def _camera_time(text: str) -> str:
    """Time by Exif as the time line writes it."""
    try:
        return time_words(datetime.fromisoformat(text).isoformat())
    except ValueError:
        return text
