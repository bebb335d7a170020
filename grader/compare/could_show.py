"""Could a photo have shown a mark that it does not show?

The mark's own look, laid over the photo at its place (`registered.py`), tells how many standard deviations of that
photo's noise and texture it would stand out by there. What the other light makes of it is known only roughly, and so is
what the mark finder finds; both are taken as normal in the logarithm.
"""

import math
from collections.abc import Sequence

from scipy.special import ndtr

from grader.compare.change import CouldShow, OtherLook
from grader.compare.constants import (
    COULD_NOT_SHOW,
    FOUND_AT_SPREADS,
    LOG_LIGHT_CHANGE,
    SEEN_FACING,
    U_LOG_FOUND,
    U_LOG_OTHER_LIGHT,
    U_LOG_SAME_LIGHT,
    WOULD_SHOW,
)
from grader.compare.place_look import PlaceLook
from grader.marks.mark import Mark
from grader.marks.regions import LINE_KINDS
from grader.quality.light import LightKind

TOO_SMALL = "too small for the scale and sharpness of that photo"
TOO_FAINT = "too faint against the noise and the design at that place"
OTHER_LIGHT = "the light was another one, which shows such marks differently"
WHITE = "the place is as light as that photo can show"


def chance_to_show(look: PlaceLook, light: LightKind) -> float:
    """Probability, 0 to 1, that a photo shows the mark at a place to the program, if it is there.

    Parameters
    ----------
    look : PlaceLook
    light : 'coaxial', 'low' or 'unknown'
        Light of the photo that shows the mark.
    """
    stands_out, spread = how_far_out(look, light)
    if stands_out <= 0:
        return 0.0
    return look.visible * float(ndtr(math.log(stands_out / FOUND_AT_SPREADS) / spread))


def how_far_out(look: PlaceLook, light: LightKind) -> tuple[float, float]:
    """How many standard deviations of its surroundings the mark should stand out by, and the spread of the log of that.

    Where the looks cannot be laid over each other, as many as the mark finder needs, which leaves it open.
    """
    if look.same_light:
        change, u_light = 0.0, U_LOG_SAME_LIGHT
    else:
        change, u_light = LOG_LIGHT_CHANGE[light if light in LOG_LIGHT_CHANGE else 'other'], U_LOG_OTHER_LIGHT
    spread = math.hypot(u_light, U_LOG_FOUND)
    if look.registered is None:
        return FOUND_AT_SPREADS, spread
    free = 1 - look.registered.clipped_ratio
    return free * math.exp(change) / look.registered.u_amount, spread


def judge_other_look(
    looks: Sequence[PlaceLook], n_before: int, mark: Mark, light: LightKind, is_seen: bool, seen_photo: int | None
) -> OtherLook:
    """What all photos of the other side together could show of a mark.

    Parameters
    ----------
    looks : sequence of PlaceLook
        One a photo of the other side.
    n_before : int
        Number of the other side's first photo among all photos.
    mark : Mark
    light : 'coaxial', 'low' or 'unknown'
        Light of the photo that `mark` is taken from.
    is_seen : bool
        Whether any of them shows it.
    seen_photo : int or None
        Number of the photo that shows it best.
    """
    if not looks:
        return OtherLook('open', 0.5, None, None, None, None, ("how the piece stood in those photos is not known",))
    chances = [chance_to_show(look, light) for look in looks]
    best = max(range(len(looks)), key=lambda k: (chances[k], looks[k].visible, -k))
    if seen_photo is not None:
        best = next(k for k, look in enumerate(looks) if look.photo == seen_photo)
    look, chance = looks[best], max(chances)
    verdict: CouldShow = 'was seen' if is_seen else _verdict(chance)
    is_shown = look.visible > 0 and look.is_placed
    size = _size_px(mark) * look.scale
    return OtherLook(
        verdict=verdict,
        probability=round(chance, 4),
        photo=look.photo - n_before if is_shown else None,
        centre_px=look.centre_px if is_shown else None,
        size_px=size if is_shown else None,
        smallest_px=_smallest_px(look, size, light) if is_shown else None,
        reasons=() if verdict in ('was seen', 'would have been seen') else _reasons(look, mark, size, light),
    )


def _verdict(chance: float) -> CouldShow:
    if chance >= WOULD_SHOW:
        return 'would have been seen'
    return 'could not be seen' if chance <= COULD_NOT_SHOW else 'open'


def _size_px(mark: Mark) -> float:
    """Size of what has to be seen: width of a line, diameter of a spot."""
    return mark.width_px if mark.kind in LINE_KINDS else mark.diameter_px


def _smallest_px(look: PlaceLook, size_px: float, light: LightKind) -> float | None:
    """Size of such a mark at which it would have been seen: how far it stands out grows with its size."""
    stands_out, spread = how_far_out(look, light)
    if stands_out <= 0 or look.visible < WOULD_SHOW:
        return None
    # Source: upper quantile of the normal distribution at WOULD_SHOW, 0.9
    needed = FOUND_AT_SPREADS * math.exp(1.2816 * spread)
    return size_px * needed / stands_out


def _reasons(look: PlaceLook, mark: Mark, size_px: float, light: LightKind) -> tuple[str, ...]:
    """Why it could not be seen, or what limits the view."""
    if look.visible < SEEN_FACING:
        return (look.hidden_by,) if look.hidden_by else ()
    told = []
    if look.registered is not None and look.registered.clipped_ratio > SEEN_FACING:
        told.append(WHITE)
    if not look.same_light:
        told.append(OTHER_LIGHT)
    if how_far_out(look, light)[0] < FOUND_AT_SPREADS:
        told.append(TOO_SMALL if size_px < _size_px(mark) * 0.75 else TOO_FAINT)
    return tuple(told)
