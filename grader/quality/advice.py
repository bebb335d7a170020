"""Words for a photo's quality: what is wrong, what it costs, how to take it again, and what could not be judged."""

from collections.abc import Sequence

from grader.quality.constants import GLASS_SOFTER_RATIO
from grader.quality.exposure import Exposure
from grader.quality.faults import Fault
from grader.quality.focus import Focus
from grader.quality.light import Light
from grader.quality.noise import Noise
from grader.quality.photo_quality import NoLimits, SmallestMarks, Verdict
from grader.quality.placing import Placing

_SENTENCES = {
    'focus-not-told': "No edge in the picture was clear enough to tell the focus: put the printed card under the "
    "piece, or look at the picture at full size yourself.",
    'camera-moved': "Hold still, or lean the phone on something: the picture is smeared in one direction, over "
    "{0:.1f} px against {1:.1f} px across{cost}.",
    'soft-focus': "Tap on the glass to focus, and hold still or lean the phone: the picture is soft, edges spread over "
    "{0:.1f} px{cost}.",
    'too-dark': "Use more light: white paper has only {0:.0f} % of the light that the picture could hold{cost}.",
    'dark-parts': "Use more light from several sides: {0:.0f} % of the piece is nearly black, and hides marks.",
    'over-exposed': "Use less light, or tap on the glass and pull the brightness down: {0:.0f} % of the piece is pure "
    "white, and marks do not show there.",
    'paper-over-exposed': "The paper is pure white in the picture, the glass is not: a little less light would measure "
    "surer.",
    'low-light': "Lit from low down: marks on the surface glow, but the design and what lies inside hardly show. "
    "Take one with light from above as well.",
    'much-glare': "Move the lamps, or shade the window: their mirror images cover {0:.0f} % of the piece.",
    'grainy': "Use more light, so that the camera needs no high ISO: the picture is grainy (a pixel scatters by "
    "{0:.1f} % of white){cost}.",
    'low-resolution': "Go nearer, or use the picture as the camera made it: a millimetre has only {0:.1f} px{cost}.",
    'camera-slanted': "Look straight down: the camera leans by {0:.0f} degrees, so the far side of the piece is hardly "
    "seen.",
    'rim-cut-off': "Step back or move the piece to the middle: only {0:.0f} % of its rim is in the picture.",
    'marks-hidden': "Take another with light from another side, and close-ups: through this design, or this grain, not "
    "even the plainest parts would show usual scratches and chips.",
    'busy-design': "The design is so busy that usual scratches show only on its plain parts{plain}: take another "
    "with a low lamp beside the piece, and close-ups.",
}


def advice_for(fault: Fault, smallest: SmallestMarks | NoLimits) -> str:
    """One sentence: how to take the photo again, what is wrong, and which marks it costs."""
    cost = plain = ''
    if isinstance(smallest, SmallestMarks):
        width_mm = smallest.plain_scratch_mm if smallest.scratch_mm is None else smallest.scratch_mm
        cost = '' if width_mm is None else f"; scratches under {size_words(width_mm)} will not show"
        plain_mm = smallest.plain_scratch_mm
        plain = '' if plain_mm is None else f" (from {size_words(plain_mm)})"
    return _SENTENCES[fault.flag].format(*fault.numbers, cost=cost, plain=plain)


def verdict_of(faults: Sequence[Fault]) -> Verdict:
    """The word for a photo with these faults."""
    if any(fault.is_worst for fault in faults):
        return 'take it again'
    return 'usable with limits' if any(fault.limits_use for fault in faults) else 'usable'


def doubts_of(
    placing: Placing,
    light: Light,
    focus: Focus,
    exposure: Exposure,
    noise: Noise,
    smallest: SmallestMarks | NoLimits,
) -> tuple[str, ...]:
    """What could not be judged, in sentences."""
    found = []
    if placing.px_per_mm is None:
        found.append("Without a card neither scale nor tilt of the camera can be told.")
    if focus.source == 'glass':
        found.append("The focus was read from the sharpest edges of the glass itself: the lens may be sharper.")
    elif focus.source == 'card' and _is_glass_focus_unknown(focus):
        found.append("The card is sharp; whether the glass is as sharp cannot be told, since it shows no sharp edge.")
    if light.kind == 'unknown':
        found.append(f"Which light was used could not be told: {light.reason}.")
    if exposure.paper_light is None:
        found.append("Without the card's grey patches the light is judged by the lightest part of the picture.")
    if noise.at_piece is None:
        found.append("No part of the picture is smooth enough to tell its noise.")
    if isinstance(smallest, NoLimits):
        found.append(f"The smallest marks that would show could not be told: {smallest.reason}.")
    return tuple(found)


def size_words(size_mm: float) -> str:
    """A size in mm to two digits."""
    return f"{size_mm:.2f} mm" if size_mm < 1 else f"{size_mm:.1f} mm"


def smallest_words(smallest: SmallestMarks | NoLimits) -> str:
    """The smallest marks in one line."""
    if isinstance(smallest, NoLimits):
        return f"not told: {smallest.reason}"
    parts = [
        _smallest_of("scratches", "wide", smallest.scratch_mm, smallest.scratch_px, smallest.plain_scratch_mm),
        _smallest_of("chips", "across", smallest.chip_mm, smallest.chip_px, smallest.plain_chip_mm),
    ]
    return "; ".join(parts)


def _smallest_of(kind: str, way: str, size_mm: float | None, size_px: float | None, plain_mm: float | None) -> str:
    if size_px is None:
        plain = "only on plain parts" if plain_mm is None else f"only on plain parts, from {size_words(plain_mm)} {way}"
        return f"{kind} {plain}"
    size = f"{size_px:.1f} px" if size_mm is None else size_words(size_mm)
    plain = '' if plain_mm is None else f" ({size_words(plain_mm)} on plain parts)"
    return f"{kind} from {size} {way}{plain}"


def _is_glass_focus_unknown(focus: Focus) -> bool:
    if focus.glass_px is None or focus.blur_px is None:
        return True
    return focus.glass_px > GLASS_SOFTER_RATIO * focus.blur_px
