"""Which card is in the photo, and the words if there is none to measure with."""

from collections.abc import Sequence

import numpy as np

from calib.arrays import GreyImage
from calib.card import CardSpec
from calib.consensus import CardMarkers, agreeing_markers
from calib.errors import CardNotFound, CardUnfit
from calib.markers import MarkerCorners, find_markers


def search_card(grey: GreyImage, specs: Sequence[CardSpec], name: str) -> CardMarkers:
    """The card with most markers in their places.

    Parameters
    ----------
    grey : ndarray of shape (H, W)
        float32, linear light.
    specs : sequence of CardSpec
        Cards to look for; the first wins a tie.
    name : str
        The photo's name, for messages.

    Raises
    ------
    CardNotFound
        If no card has enough markers in their places.
    CardUnfit
        If the photo is a mirror image, or the markers are those of another card.
    """
    found = find_markers(grey)
    card = _best(found, specs)
    if _is_enough(card):
        return card
    mirrored = _best(find_markers(np.ascontiguousarray(grey[:, ::-1])), specs)
    if _is_enough(mirrored):
        raise CardUnfit(
            f"{name}: the photo is a mirror image, {len(mirrored.markers)} of the card's"
            f" {len(mirrored.spec.markers)} markers can be read only after flipping it.",
            "Turn off mirroring in the camera (it is usual for the front camera), or flip the photo back.",
        )
    known = {one for spec in specs for one in spec.marker_ids}
    n_strange = int(np.sum(~np.isin(found.ids, list(known))))
    if n_strange >= min(spec.markers_needed for spec in specs):
        raise CardUnfit(
            f"{name}: {n_strange} markers of another card are visible, and"
            f" {len(card.markers)} of a card that this program prints.",
            "Print one of this program's cards and use it instead.",
        )
    raise CardNotFound(name, len(card.markers), len(card.spec.markers), card.spec.markers_needed)


def _best(found: MarkerCorners, specs: Sequence[CardSpec]) -> CardMarkers:
    cards = [agreeing_markers(found, spec) for spec in specs]
    return max(cards, key=lambda card: len(card.markers) / card.spec.markers_needed)


def _is_enough(card: CardMarkers) -> bool:
    return len(card.markers) >= card.spec.markers_needed
