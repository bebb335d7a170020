"""Could a photo have shown a mark that it does not show?

The mark's own look, laid over the photo at its place (`registered.py`), tells how many standard deviations of that
photo's noise and texture it would stand out by there. With the photo's sharpness, scale, noise and view of the place,
the light, and how sure the mark is where it is seen, a logistic model tells how probable it is that the mark finder
would have found it.
"""

import math
from collections.abc import Sequence

from grader.compare.change import CouldShow, OtherLook
from grader.compare.constants import (
    COULD_NOT_SHOW,
    LEAST_BLUR_PX,
    LEAST_NOISE,
    LEAST_VISIBLE,
    MOST_FACING,
    MOST_LOG_ODDS,
    MOST_STANDS_OUT,
    OUT_OF_VIEW_FACING,
    SCALE_RANGE,
    SEEN_START,
    SHOW_WEIGHTS,
    SIZE_SLOPE,
    USUAL_STANDS_OUT,
    WOULD_SHOW,
)
from grader.compare.place_look import OUT_OF_VIEW, PlaceLook
from grader.marks.mark import Mark
from grader.marks.regions import LINE_KINDS
from grader.quality.light import LightKind

TOO_SMALL = "too small for the scale and sharpness of that photo"
TOO_FAINT = "too faint against the noise and the design at that place"
OTHER_LIGHT = "the light was another one, which shows such marks differently"
OTHER_VIEW = "it was taken from another side, from which such marks look different"
WHITE = "the place is as light as that photo can show"

_COARSER = 0.75  # Source: convention of this project, a quarter fewer px


def chance_to_show(look: PlaceLook, mark: Mark, light: LightKind) -> float:
    """Probability, 0 to 1, that the mark finder would find the mark in a photo, if it was there.

    Parameters
    ----------
    look : PlaceLook
        The photo at the mark's place.
    mark : Mark
        The mark as another photo shows it.
    light : 'coaxial', 'low' or 'unknown'
        Light of that other photo.
    """
    if look.facing < OUT_OF_VIEW_FACING or (look.visible <= 0 and look.hidden_by == OUT_OF_VIEW):
        return 0.0
    clipped = 0.0 if look.registered is None else look.registered.clipped_ratio
    return (1 - clipped) / (1 + math.exp(-show_log_odds(look, mark.confidence, light)))


def show_log_odds(look: PlaceLook, confidence: float, light: LightKind) -> float:
    """Log-odds of that for a place within view that is not clipped, of a mark of some confidence."""
    w = SHOW_WEIGHTS
    from_low = not look.same_light and light == 'low'
    return (
        w['start']
        + w['same light'] * look.same_light
        + w['from low light'] * from_low
        + w['confidence'] * log_odds_of(confidence)
        + w['stands out'] * _stands_out(look, light)
        + w['facing'] * min(look.facing, MOST_FACING)
        + w['scale'] * math.log(min(max(look.scale, SCALE_RANGE[0]), SCALE_RANGE[1]))
        + w['blur'] * math.log(max(look.blur_px, LEAST_BLUR_PX))
        + w['noise'] * math.log(look.noise + LEAST_NOISE)
        + w['hidden'] * (1 - look.visible)
    )


def only_low_light(look: PlaceLook, light: LightKind) -> bool:
    """Whether a photo in low light, or from another side, is asked for a mark that light from above, or an unknown one,
    shows.
    """
    return not look.same_light and light != 'low'


def _stands_out(look: PlaceLook, light: LightKind) -> float:
    """Log of how many standard deviations the mark should stand out by; what low light makes of marks that light from
    above shows is not known.
    """
    if look.registered is None or only_low_light(look, light):
        return USUAL_STANDS_OUT
    return min(-math.log(look.registered.u_amount), MOST_STANDS_OUT)


def log_odds_of(probability: float) -> float:
    """Log of a probability over its rest, cut to what the models were fitted on."""
    odds = math.log(max(probability, 1e-9) / max(1 - probability, 1e-9))
    return min(max(odds, -MOST_LOG_ODDS), MOST_LOG_ODDS)


def judge_other_look(
    looks: Sequence[PlaceLook], first: int, mark: Mark, light: LightKind, seen_photo: int | None
) -> OtherLook:
    """What all photos of the other side together could show of a mark.

    Parameters
    ----------
    looks : sequence of PlaceLook
        One a photo of the other side.
    first : int
        Number of the other side's first photo among all photos.
    mark : Mark
        The mark as this side shows it best.
    light : 'coaxial', 'low' or 'unknown'
        Light of the photo that `mark` is taken from.
    seen_photo : int or None
        Number of the photo of the other side that shows the mark best; None where none does.
    """
    if not looks:
        return OtherLook('open', 0.5, None, None, None, None, ("how the piece stood in those photos is not known",))
    chances = [chance_to_show(look, mark, light) for look in looks]
    best = max(range(len(looks)), key=lambda k: (chances[k], looks[k].visible, -k))
    if seen_photo is not None:
        best = next(k for k, look in enumerate(looks) if look.photo == seen_photo)
    look, chance = looks[best], max(chances)
    verdict = 'was seen' if seen_photo is not None else _verdict(look, chance)
    is_shown = look.visible > 0 and look.is_placed
    size = _size_px(mark) * look.scale
    return OtherLook(
        verdict=verdict,
        probability=round(chance, 4),
        photo=look.photo - first if is_shown else None,
        centre_px=look.centre_px if is_shown else None,
        size_px=size if is_shown else None,
        smallest_px=_smallest_px(look, size, chances[best]) if is_shown else None,
        reasons=() if verdict in ('was seen', 'would have been seen') else _reasons(look, mark, size, light),
    )


def _verdict(look: PlaceLook, chance: float) -> CouldShow:
    """The word for it: that it would have been seen is said only where the place looks clean."""
    is_clean = look.log_odds < SEEN_START
    if chance >= WOULD_SHOW and look.visible >= LEAST_VISIBLE and is_clean:
        return 'would have been seen'
    return 'could not be seen' if chance <= COULD_NOT_SHOW else 'open'


def _size_px(mark: Mark) -> float:
    """Size of what has to be seen: width of a line, diameter of a spot."""
    return mark.width_px if mark.kind in LINE_KINDS else mark.diameter_px


def _smallest_px(look: PlaceLook, size_px: float, chance: float) -> float | None:
    """Size of such a mark at which it would have been seen."""
    if look.visible < LEAST_VISIBLE or chance <= 0:
        return None
    return size_px * math.exp((log_odds_of(WOULD_SHOW) - log_odds_of(chance)) / SIZE_SLOPE)


def _reasons(look: PlaceLook, mark: Mark, size_px: float, light: LightKind) -> tuple[str, ...]:
    """Why it could not be seen, or what limits the view."""
    if look.visible < LEAST_VISIBLE:
        return (look.hidden_by,) if look.hidden_by else ()
    told = []
    if look.registered is not None and look.registered.clipped_ratio >= LEAST_VISIBLE:
        told.append(WHITE)
    if not look.same_view:
        told.append(OTHER_VIEW)
    elif only_low_light(look, light):
        told.append(OTHER_LIGHT)
    if not told or chance_to_show(look, mark, light) <= COULD_NOT_SHOW:
        told.append(TOO_SMALL if size_px < _COARSER * _size_px(mark) else TOO_FAINT)
    return tuple(told)
