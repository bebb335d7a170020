"""What is short in a photo: each fault by the name of its flag, with the numbers for its words."""

from dataclasses import dataclass, field

from grader.quality import constants as c
from grader.quality.exposure import Exposure
from grader.quality.focus import Focus
from grader.quality.light import Light
from grader.quality.noise import Noise
from grader.quality.photo_quality import NoLimits, SmallestMarks
from grader.quality.placing import Placing


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is short."""

    flag: str
    """Name of the flag."""
    is_worst: bool = False
    """Whether the photo is to be taken again for it."""
    limits_use: bool = True
    """Whether it limits what the photo can be used for; otherwise it is only worth knowing."""
    numbers: tuple[float, ...] = field(default=())
    """For the words; shares in percent."""


def faults_of(
    placing: Placing,
    light: Light,
    focus: Focus,
    exposure: Exposure,
    noise: Noise,
    glare_ratio: float | None,
    smallest: SmallestMarks | NoLimits,
) -> tuple[Fault, ...]:
    """All faults of a photo, in the order in which they are told; empty for a good one."""
    return (
        *_of_focus(focus),
        *_of_exposure(exposure, light),
        *_of_light(light, glare_ratio, noise),
        *_of_placing(placing),
        *_of_limits(smallest),
    )


def _of_focus(focus: Focus) -> list[Fault]:
    if focus.blur_px is None:
        return [Fault('focus-not-told')]
    found = []
    most, least = focus.most_px, focus.least_px
    if most is not None and least is not None and most >= max(c.MOVED_RATIO * least, c.MOVED_LEAST_PX):
        return [Fault('camera-moved', most >= c.WORST_BLUR_PX, numbers=(most, least))]
    if focus.blur_px >= c.SOFT_BLUR_PX and focus.source == 'card':
        found.append(Fault('soft-focus', focus.blur_px >= c.WORST_BLUR_PX, numbers=(focus.blur_px,)))
    elif focus.blur_px >= c.SOFT_BLUR_PX:
        # The glass may have no sharp edge of its own, so this alone never condemns a photo.
        found.append(Fault('soft-focus', numbers=(focus.blur_px,)))
    return found


def _of_exposure(exposure: Exposure, light: Light) -> list[Fault]:
    found = []
    paper, lightest = exposure.paper_light, exposure.lightest
    if paper is not None and paper < c.PAPER_LIGHT_LEAST:
        found.append(Fault('too-dark', paper < c.PAPER_LIGHT_WORST, numbers=(100 * paper,)))
    elif paper is None and lightest < c.LIGHTEST_LEAST:
        found.append(Fault('too-dark', lightest < c.PAPER_LIGHT_WORST, numbers=(100 * lightest,)))
    elif exposure.dark_ratio > c.DARK_SHARE_MOST and light.kind != 'low':
        found.append(
            Fault('dark-parts', exposure.dark_ratio > c.LOST_SHARE_WORST, numbers=(100 * exposure.dark_ratio,))
        )
    if exposure.clipped_ratio > c.CLIPPED_SHARE_MOST:
        is_worst = exposure.clipped_ratio > c.LOST_SHARE_WORST
        found.append(Fault('over-exposed', is_worst, numbers=(100 * exposure.clipped_ratio,)))
    elif paper is not None and paper > c.PAPER_LIGHT_MOST:
        found.append(Fault('paper-over-exposed', limits_use=False, numbers=(100 * paper,)))
    return found


def _of_light(light: Light, glare_ratio: float | None, noise: Noise) -> list[Fault]:
    found = []
    if light.kind == 'low':
        found.append(Fault('low-light', limits_use=False))
    most = c.GLARE_SHARE_MOST_LOW if light.kind == 'low' else c.GLARE_SHARE_MOST
    if glare_ratio is not None and glare_ratio > most:
        found.append(Fault('much-glare', glare_ratio > c.LOST_SHARE_WORST, numbers=(100 * glare_ratio,)))
    if noise.at_piece is not None and noise.at_piece > c.NOISE_MOST:
        found.append(Fault('grainy', numbers=(100 * noise.at_piece,)))
    return found


def _of_placing(placing: Placing) -> list[Fault]:
    found = []
    if placing.px_per_mm is not None and placing.px_per_mm < c.SCALE_LEAST_PX_PER_MM:
        is_worst = placing.px_per_mm < c.SCALE_WORST_PX_PER_MM
        found.append(Fault('low-resolution', is_worst, numbers=(placing.px_per_mm,)))
    if placing.tilt_deg is not None and placing.view != 'side' and placing.tilt_deg > c.TILT_MOST_DEG:
        found.append(Fault('camera-slanted', numbers=(placing.tilt_deg,)))
    if placing.rim_ratio < c.RIM_SHARE_LEAST and placing.view != 'close-up':
        found.append(Fault('rim-cut-off', placing.rim_ratio < c.RIM_SHARE_WORST, numbers=(100 * placing.rim_ratio,)))
    return found


def _of_limits(smallest: SmallestMarks | NoLimits) -> list[Fault]:
    if isinstance(smallest, NoLimits):
        return []
    scratch_mm, chip_mm = smallest.plain_scratch_mm, smallest.plain_chip_mm
    if smallest.plain_scratch_px is None or (scratch_mm is not None and scratch_mm > c.SCRATCH_WORST_MM):
        return [Fault('marks-hidden')]
    if smallest.plain_chip_px is None or (chip_mm is not None and chip_mm > c.CHIP_WORST_MM):
        return [Fault('marks-hidden')]
    if smallest.scratch_px is None:
        return [Fault('busy-design', limits_use=False)]
    return []
