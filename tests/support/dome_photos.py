"""Photos of domes that several tests look at, made once."""

from functools import cache

import numpy as np

from calib.card import load_card
from tests.support.card_scene import CardScene
from tests.support.dome_scene import DomeScene, photograph_dome

_CARD = CardScene(load_card('frame'), focal_px=1280.0, size_px=(700, 700), tilt_deg=4.0, turn_deg=11.0, noise=0.004)
_ROUND = DomeScene(_CARD, middle_mm=(3.0, -4.0), half_axes_mm=(36.0, 34.0), turn_deg=30.0, ring_mm=25.0, rise_mm=33.0)
SCENES = {
    'round on grey': _ROUND,
    'dark on black': _ROUND.but(ground=0.05, body=(0.05, 0.06, 0.05), stripes=(0.05, 0.05, 0.09)),
    'egg on white': _ROUND.but(ground=0.75, half_axes_mm=(33.0, 32.5), ring_mm=34.0, rise_mm=46.0),
    'six facets': _ROUND.but(sides=6, half_axes_mm=(36.0, 36.0)),
    'mirrors nothing': _ROUND.but(mirror_index=1.0),
}
"""By name: light and dark, pale against their ground, of each shape, and one whose surface mirrors nothing."""

SIDE_SCENE = DomeScene(
    _CARD.but(tilt_deg=68.0, turn_deg=0.0, distance_mm=420.0, focal_px=1500.0, aim_mm=(0.0, 12.0)),
    middle_mm=(2.0, -3.0), half_axes_mm=(34.0, 34.0), ring_mm=25.0, rise_mm=33.0, ground=0.3,
)  # fmt: skip
"""A dome on the card from the side."""


def f35_of(scene: DomeScene) -> float:
    """35 mm-equivalent focal length of a scene's camera, by the diagonal rule."""
    return float(scene.card.focal_px * np.hypot(36, 24) / np.hypot(*scene.card.size_px))


@cache
def photo_of(name: str) -> np.ndarray:
    """The photo of a scene, (H, W, 3) uint8, read-only."""
    rgb = photograph_dome(SCENES[name])
    rgb.setflags(write=False)
    return rgb


@cache
def side_photo() -> np.ndarray:
    """The photo of `SIDE_SCENE`, (H, W, 3) uint8, read-only."""
    rgb = photograph_dome(SIDE_SCENE)
    rgb.setflags(write=False)
    return rgb
