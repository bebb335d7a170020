"""Which light a photo was taken in: a ring round the lens, or a low ring round the card that makes marks glow."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from grader.marks.unseen import UnseenArea
from grader.marks.unseen_shapes import piece_picture
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.side_view import camera_tilt_deg
from grader.outline.surface import DomeSurface
from grader.quality.ground_light import ground_rise
from grader.quality.lamp_seen import is_lamp_in_picture
from grader.quality.light_constants import (
    COAXIAL_SPANS_DEG,
    COAXIAL_TILT_DEG,
    LEAST_ELEVATION_DEG,
    LOW_SPAN_DEG,
    LOW_TILT_DEG,
    RISE_ABOVE,
    RISE_LOW,
)
from grader.quality.mirrored_ring import facing_axis, overhead_axis, tilts_of_known, tilts_of_rings

LightKind = Literal['coaxial', 'low', 'unknown']


@dataclass(frozen=True, slots=True)
class Light:
    """The light of a photo, as far as the picture tells."""

    kind: LightKind
    """'coaxial': a ring round the lens of a camera above, which in photos from the side stands straight above; 'low': a
    ring round the card, low down; 'unknown': neither was recognised."""
    comes_low: bool | None
    """Whether the light comes from low down; None where the picture does not tell."""
    reason: str
    """What it was told by, in words."""


def light_of(view: DomeView, surface: DomeSurface | None, unseen: Sequence[UnseenArea] = ()) -> Light:
    """Recognise the light of a photo.

    1. The ground: under a low ring round the card light rises towards the card's edge, under light from above it does
       not. Read where a frame card is seen from above.
    2. The lamp itself: a low ring often stands in the picture.
    3. The mirror image in the glass: a ring round the lens is mirrored where the glass faces the camera, a low one
       far down the shoulder.

    Parameters
    ----------
    view : DomeView
    surface : DomeSurface or None
        The glass; without it the mirror image cannot be used.
    unseen : sequence of UnseenArea
        Where rings were found already, if that was looked for.
    """
    comes_low, reason = _comes_low(view)
    if comes_low:
        return Light('low', True, reason)
    if surface is not None:
        coaxial, low = _mirrored(view, surface, unseen, comes_low)
        if coaxial and not low:
            place = "faces the camera" if is_from_above(view) else "faces a light straight above"
            return Light('coaxial', False, f"a ring light is mirrored where the glass {place}")
        if low and not coaxial:
            return Light('low', True, "a ring light is mirrored far down the side of the glass")
    return Light('unknown', comes_low, reason if comes_low is False else "no ring light was recognised")


def _mirrored(
    view: DomeView, surface: DomeSurface, unseen: Sequence[UnseenArea], comes_low: bool | None
) -> tuple[bool, bool]:
    """Whether the glass mirrors a ring round the lens, and whether a low one; the latter only where it may be one."""
    maybe_low = comes_low is None and is_from_above(view)
    known = tilts_of_known(surface, unseen) if is_from_above(view) else ()
    coaxial = any(tilt <= COAXIAL_TILT_DEG for tilt in known)
    low = maybe_low and any(_is_low(tilt) for tilt in known)
    if coaxial or low:
        return coaxial, low
    picture = piece_picture(view.photo.rgb, surface.contour_px)
    axis = facing_axis(surface) if is_from_above(view) else overhead_axis(surface)
    for span_deg in COAXIAL_SPANS_DEG:
        if any(tilt <= COAXIAL_TILT_DEG for tilt in tilts_of_rings(picture, surface, axis, span_deg)):
            coaxial = True
            break
    low = maybe_low and any(_is_low(tilt) for tilt in tilts_of_rings(picture, surface, axis, LOW_SPAN_DEG))
    return coaxial, low


def _is_low(tilt_deg: float) -> bool:
    return LOW_TILT_DEG[0] <= tilt_deg <= LOW_TILT_DEG[1]


def is_from_above(view: DomeView) -> bool:
    """Whether the camera stands high over the card; a photo without a card is taken to be one from above."""
    return isinstance(view.card, NoCard) or 90.0 - camera_tilt_deg(view.card) >= LEAST_ELEVATION_DEG


def _comes_low(view: DomeView) -> tuple[bool | None, str]:
    """Whether the light comes from low down, None where ground and picture do not tell; and by what it was told."""
    rise = None
    if not isinstance(view.card, NoCard) and view.card.spec.name == 'frame' and is_from_above(view):
        rise = ground_rise(view.photo.rgb, view.card, view.outline.contour_px)
    if rise is not None and rise >= RISE_LOW:
        return True, "the ground grows lighter towards the edge of the card"
    if rise is not None and rise <= RISE_ABOVE:
        return False, "the ground shows light from above, but no ring light is mirrored in the glass"
    if is_from_above(view) and is_lamp_in_picture(view.photo.rgb, view.outline.contour_px):
        return True, "a ring light stands round the piece in the picture"
    return None, ""
