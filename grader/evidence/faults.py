"""What can be wrong with a bag."""

from dataclasses import dataclass
from enum import StrEnum

from grader.evidence.names import shown


class FaultKind(StrEnum):
    """Kinds of faults, for programs; people read the words."""

    CHANGED = 'changed'
    MISSING = 'missing'
    EXTRA = 'extra'
    REORDERED = 'reordered'
    PATH = 'path'
    STRUCTURE = 'structure'
    SIGNATURE = 'signature'
    LINK = 'link'
    RECORD = 'record'
    PHOTO = 'photo'
    TIME_STAMP = 'time stamp'


@dataclass(frozen=True, slots=True)
class BagFault:
    """One fault."""

    kind: FaultKind
    path: str
    """Path in the bag; '' for the bag as a whole."""
    words: str
    """What was seen, as a sentence without its subject where there is a path."""

    def __post_init__(self) -> None:
        # Both may hold text of a hostile bag, and both are printed.
        object.__setattr__(self, 'path', shown(self.path))
        object.__setattr__(self, 'words', shown(self.words))

    def __str__(self) -> str:
        return f"{self.path}: {self.words}" if self.path else self.words
