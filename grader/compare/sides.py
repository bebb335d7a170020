"""The two sides of a comparison."""

from dataclasses import dataclass
from typing import Literal

from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto

Side = Literal['before', 'after']


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """Photos of both sides, each examined by itself."""

    before: tuple[SetPhoto, ...]
    """Earlier photos, the best one first; at least one."""
    after: tuple[SetPhoto, ...]
    """Later photos, the best one first; at least one. The first is the main photo: its frame is the piece's."""


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """How the piece stands in each photo of both sides, against the first later photo."""

    before: tuple[PhotoTurn, ...]
    """One an earlier photo."""
    after: tuple[PhotoTurn, ...]
    """One a later photo; the first is not turned."""
