"""Which views of a piece a set of photos should hold, and which of them are there, as far as the photos tell."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from grader.quality.light import Light
from grader.quality.placing import Placing

There = Literal['yes', 'no', 'not told']

SIDES_WANTED = 4
"""Photos from the side. Source: a quarter turn apart, each shows a third of the flank well."""


@dataclass(frozen=True, slots=True)
class WantedView:
    """One view that a set should hold."""

    name: str
    """In words."""
    there: There
    """Whether a photo of it is there."""
    advice: str
    """What to do where it is not, or cannot be told; '' where it is there."""


def wanted_views(photos: Sequence[tuple[Placing, Light]]) -> tuple[WantedView, ...]:
    """Views that a set should hold, and whether they are there.

    A base that lies up on the card looks like a piece from above, so a photo of the base is never told from one.

    Parameters
    ----------
    photos : sequence of (Placing, Light)
        What is known of each photo.
    """
    above = [light for placing, light in photos if placing.view == 'above']
    n_sides = sum(placing.view == 'side' for placing, _ in photos)
    n_close = sum(placing.view == 'close-up' for placing, _ in photos)
    views = (
        WantedView(
            "from above, light from above",
            _there(any(light.comes_low is False for light in above), any(light.comes_low is None for light in above)),
            "Take one from straight above with a ring light round the lens, or soft light from two sides.",
        ),
        WantedView(
            "from above, low light",
            _there(any(light.kind == 'low' for light in above), any(light.comes_low is None for light in above)),
            "Take one from straight above with a ring of light low down round the card: scratches glow.",
        ),
        WantedView(
            f"from {SIDES_WANTED} sides ({min(n_sides, SIDES_WANTED)} there)",
            'yes' if n_sides >= SIDES_WANTED else 'no',
            f"Take {SIDES_WANTED - n_sides} more from the side, the camera low over the card, a quarter turn apart.",
        ),
        WantedView(
            "the base",
            'not told',
            "A base that lies up looks like a piece from above, so whether it is there cannot be told: look yourself.",
        ),
        WantedView(
            "close-ups",
            'yes' if n_close else 'no',
            "Go close to each mark that you know of, once with the light from another side.",
        ),
    )
    return tuple(replace(view, advice='') if view.there == 'yes' else view for view in views)


def view_words(placing: Placing, light: Light) -> str:
    """What a photo is, in a few words."""
    view = {
        'above': "from above",
        'slanted': "from above, slanted",
        'side': "from the side",
        'close-up': "a close-up: the piece does not fit into the picture",
        'unknown': "without a card, so from where cannot be told",
    }[placing.view]
    lit = {
        'coaxial': "ring light round the lens",
        'low': "low ring light",
        'unknown': "light from above" if light.comes_low is False else "light not recognised",
    }[light.kind]
    return f"{view}; {lit}"


def _there(is_there: bool, is_maybe: bool) -> There:
    if is_there:
        return 'yes'
    return 'not told' if is_maybe else 'no'
