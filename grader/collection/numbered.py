"""Folders counted from 0001 in one folder, the number first in their names."""

import re
from dataclasses import dataclass
from pathlib import Path

from grader.collection.constants import MAX_EXAMINATIONS
from grader.errors import SettingsInvalid

_NAME = re.compile(r'([0-9]{4})(?:-.*)?', re.ASCII)
_DAY = re.compile(r'[0-9]{4}-[0-9]{2}-[0-9]{2}', re.ASCII)


@dataclass(frozen=True, slots=True)
class NumberedFolder:
    """One of them."""

    number: int
    """Counted from 1 in the order in which they were stored."""
    folder: Path


def numbered_folders(folder: Path) -> tuple[NumberedFolder, ...]:
    """Numbered folders in a folder, by number and name; none is an empty tuple, also where there is no such folder."""
    if not folder.is_dir():
        return ()
    found = []
    for entry in folder.iterdir():
        match = _NAME.fullmatch(entry.name)
        if match and entry.is_dir():
            found.append(NumberedFolder(int(match[1]), entry))
    return tuple(sorted(found, key=lambda one: (one.number, one.folder.name)))


def next_numbered(folder: Path, things: str, tail: str = '') -> str:
    """Name of the next folder: its number, and what is to stand behind it.

    Parameters
    ----------
    folder
        Folder of the numbered ones.
    things
        What they are, for the words of the error.
    tail
        What stands behind the number; '' for nothing.

    Raises
    ------
    SettingsInvalid
        If no number is left.
    """
    number = max((one.number for one in numbered_folders(folder)), default=0) + 1
    if number > MAX_EXAMINATIONS:
        raise SettingsInvalid(
            f"{folder.parent.name}: {MAX_EXAMINATIONS} {things} are the most that a piece can have.",
            "Store this one with another piece.",
        )
    return f'{number:04}-{tail}' if tail else f'{number:04}'


def day_of(made_at: str) -> str:
    """Day of a stated time, '' where it begins with none: it is only part of a name."""
    match = _DAY.match(made_at)
    return match[0] if match else ''
