"""Sealed bags in a piece's folder: one folder each, counted from 0001, in the order of their chain."""

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from grader.collection.examinations import is_sealed
from grader.collection.numbered import next_numbered, numbered_folders

SEALED_FOLDER = 'sealed'

SealedKind = Literal['examination', 'comparison']

_TAIL = re.compile(r'[0-9]{4}-(examination|comparison)-([0-9]{4})(?:-.*)?', re.ASCII)


@dataclass(frozen=True, slots=True)
class StoredBag:
    """One sealed bag of a piece."""

    number: int
    """Counted from 1 in the order in which they were stored."""
    folder: Path

    @property
    def subject(self) -> tuple[SealedKind, int] | None:
        """What its name says was sealed, and the number of that; None where the name says nothing."""
        match = _TAIL.fullmatch(self.folder.name)
        if match is None:
            return None
        return ('examination' if match[1] == 'examination' else 'comparison'), int(match[2])


def bags_of(piece_folder: Path) -> tuple[StoredBag, ...]:
    """Sealed bags of a piece, in the order in which they were stored; none is an empty tuple."""
    found = numbered_folders(piece_folder / SEALED_FOLDER)
    return tuple(StoredBag(one.number, one.folder) for one in found if is_sealed(one.folder))


def next_bag(piece_folder: Path, kind: SealedKind, source: Path) -> Path:
    """Folder for the next bag of a piece: its number, and what is sealed in it.

    Raises
    ------
    SettingsInvalid
        If no number is left.
    """
    folder = piece_folder / SEALED_FOLDER
    return folder / next_numbered(folder, "sealed bags", f'{kind}-{source.name}')
