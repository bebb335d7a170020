"""What a photo can show: the numbers, the doubts, and the word for it."""

from dataclasses import dataclass
from typing import Literal

from grader.quality.exposure import Exposure
from grader.quality.focus import Focus
from grader.quality.light import Light
from grader.quality.noise import Noise
from grader.quality.placing import Placing

Verdict = Literal['usable', 'usable with limits', 'take it again']


@dataclass(frozen=True, slots=True)
class SmallestMarks:
    """Smallest marks that a photo can show, seen straight on and at usual contrast.

    Sizes are in mm with a card and in px always; None where no size would show.
    """

    scratch_px: float | None
    """Width of a scratch on the middling part of the piece: half of it is plainer, half busier."""
    plain_scratch_px: float | None
    """The same on the plainest tenth."""
    chip_px: float | None
    """Diameter of a chip on the middling part."""
    plain_chip_px: float | None
    """The same on the plainest tenth."""
    px_per_mm: float | None
    """Scale; None without a card."""

    @property
    def scratch_mm(self) -> float | None:
        """Width of a scratch on the middling part, mm."""
        return self._mm(self.scratch_px)

    @property
    def plain_scratch_mm(self) -> float | None:
        """Width of a scratch on the plainest tenth, mm."""
        return self._mm(self.plain_scratch_px)

    @property
    def chip_mm(self) -> float | None:
        """Diameter of a chip on the middling part, mm."""
        return self._mm(self.chip_px)

    @property
    def plain_chip_mm(self) -> float | None:
        """Diameter of a chip on the plainest tenth, mm."""
        return self._mm(self.plain_chip_px)

    def _mm(self, size_px: float | None) -> float | None:
        return None if size_px is None or self.px_per_mm is None else size_px / self.px_per_mm


@dataclass(frozen=True, slots=True)
class NoLimits:
    """Why the smallest marks could not be told."""

    reason: str
    """In words."""


@dataclass(frozen=True, slots=True)
class PhotoQuality:
    """One photo's quality."""

    placing: Placing
    """Scale, tilt, kind of view."""
    light: Light
    """Which light."""
    focus: Focus
    """Sharpness."""
    exposure: Exposure
    """How light, how much clipped or black."""
    noise: Noise
    """Scatter of single pixels."""
    glare_ratio: float | None
    """Share of the piece under mirror images of lamps; None where that was not looked for."""
    smallest: SmallestMarks | NoLimits
    """Smallest marks that would show."""
    flags: tuple[str, ...]
    """Names of flags, see ``grader.flags``."""
    verdict: Verdict
    """The word for it."""
    advice: tuple[str, ...]
    """One sentence for each thing that is short: what is wrong, what it costs, how to take the photo again."""
    doubts: tuple[str, ...]
    """What could not be judged, in sentences."""

    @property
    def blur_mm(self) -> float | None:
        """Spread of light in mm at the piece; None without a card or where it could not be read."""
        if self.focus.blur_px is None or self.placing.px_per_mm is None:
            return None
        return self.focus.blur_px / self.placing.px_per_mm
