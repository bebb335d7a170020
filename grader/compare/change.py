"""What became of each mark between two sides, and what the earlier photos could have shown of it."""

from dataclasses import dataclass
from typing import Literal

from calib.arrays import PointsPx
from grader.compare.sides import Side
from grader.marks.mark import Mark, is_damage

ChangeName = Literal['new', 'grown', 'unchanged', 'gone', 'not visible then', 'not visible now']
CouldShow = Literal['was seen', 'would have been seen', 'could not be seen', 'open']

LEAST_NEW = 0.5  # Source: even odds


@dataclass(frozen=True, slots=True, eq=False)
class OtherLook:
    """What the photos of the other side could show at the place of a mark."""

    verdict: CouldShow
    """The word for it; 'open' where the evidence does not carry one."""
    probability: float
    """Probability, 0 to 1, that a mark like this one would have shown there."""
    photo: int | None
    """Number of the photo of the other side that shows the place best; None where none shows it at all."""
    centre_px: tuple[float, float] | None
    """The mark's place in that photo, (x, y)."""
    size_px: float | None
    """Size there of what has to be seen: width of a line, diameter of a spot."""
    smallest_px: float | None
    """Smallest size of such a mark that this photo shows at that place; None where no size would show."""
    reasons: tuple[str, ...]
    """Why it could not be seen, or what limits the view, in plain words."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaceInPhoto:
    """Where one photo of either side shows a mark."""

    side: Side
    """Which side."""
    photo: int
    """Number of the photo within its side, from 0."""
    outline_px: PointsPx
    """Closed outline (N, 2)."""


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """One mark of the piece, and what became of it."""

    change: ChangeName
    """What became of it."""
    confidence: float
    """Probability, 0 to 1, that this is so: for 'new', that the mark is there and was not there before."""
    mark: Mark
    """The mark as its best photo shows it: of the later side, or of the earlier one if only that shows it."""
    best: PlaceInPhoto
    """The photo that `mark` is taken from."""
    other_look: OtherLook
    """For a mark of the later side what the earlier photos could show of it; for one of the earlier side alone, what
    the later photos could."""
    seen_in: tuple[PlaceInPhoto, ...]
    """All photos of both sides that show it."""
    grown_words: str
    """For a grown mark what grew, in words; else ''."""


def is_new_damage(change: Change) -> bool:
    """Whether a change is damage that is more likely new than not."""
    return change.change == 'new' and is_damage(change.mark.kind) and change.confidence >= LEAST_NEW
