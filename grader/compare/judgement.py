"""Whether two sides show one piece, and why."""

from dataclasses import dataclass
from typing import Literal

from calib.arrays import FloatArray
from grader.compare.sides import Alignment

SameVerdict = Literal['same piece', 'another piece', 'cannot tell']
DesignWeight = Literal['rich', 'little', 'none']


@dataclass(frozen=True, slots=True, eq=False)
class DetailMatch:
    """A detail of the design, as an earlier and a later photo show it."""

    before: int
    """Number of the earlier photo, from 0."""
    after: int
    """Number of the later photo, from 0."""
    before_px: FloatArray
    """(2,) its place in the earlier photo."""
    after_px: FloatArray
    """(2,) its place in the later photo."""
    likeness: float
    """How alike it looks in both, -1 to 1; low where the designs should agree and do not."""


@dataclass(frozen=True, slots=True)
class Ground:
    """One thing that speaks for one piece or against it."""

    name: str
    """Short name: 'design', 'size', 'colours', 'marks' or 'bubbles'."""
    words: str
    """The finding in a plain sentence."""
    log_odds: float
    """Natural log of its likelihood ratio: above 0 it speaks for one piece."""


@dataclass(frozen=True, slots=True, eq=False)
class PieceJudgement:
    """Whether both sides show one piece."""

    probability: float
    """Probability, 0 to 1, that they do."""
    verdict: SameVerdict
    """The word for it."""
    design: DesignWeight
    """How much design there is to tell pieces apart by."""
    grounds: tuple[Ground, ...]
    """What speaks for it and against it, the weightiest first."""
    matches: tuple[DetailMatch, ...]
    """Details side by side, the most alike first, then those that differ."""
    alignment: Alignment
    """How the piece would stand in each photo if it is one."""
