"""Photos of pieces whose whole design is known: coloured spots on the glass, drawn pixel by pixel.

The camera stands far above; the design lies on the surface, so that nothing of the program's optics is needed to draw it.
"""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np

from calib.measured import Measured
from grader.outline.dome_view import NoCard
from grader.outline.eye import FarEye
from grader.outline.height import RingHeight
from grader.outline.surface import DomeSurface
from grader.sets.set_photo import SetPhoto

SIZE_PX = 520
WIDTH_PX = 440.0
MIDDLE = (SIZE_PX - 1) / 2


@dataclass(frozen=True)
class Spots:
    """Round spots: places (N, 2) in radii about the axis, their radii and colours (N, 3), linear codes."""

    places: np.ndarray
    radii: np.ndarray
    colours: np.ndarray
    ground: np.ndarray


def spots(seed, n=40, palette_seed=1):
    """A piece of a make: colours by `palette_seed`, places by `seed`."""
    rng, make = np.random.default_rng(seed), np.random.default_rng(palette_seed)
    palette = make.uniform(40, 230, (4, 3))
    radius, angle = 0.78 * np.sqrt(rng.uniform(0.03, 1, n)), rng.uniform(0, 2 * np.pi, n)
    places = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    return Spots(places, rng.uniform(0.05, 0.09, n), palette[rng.integers(1, 4, n)], palette[0])


def plain():
    """A piece without any design."""
    return Spots(np.zeros((0, 2)), np.zeros(0), np.zeros((0, 3)), np.array([120.0, 130.0, 110.0]))


def picture(design, turn_rad=0.0, *, gains=(1.0, 1.0, 1.0), noise=2.0, seed=0):
    """Photo (S, S, 3) uint8 of a piece that was turned from +x to +y."""
    columns, rows = np.meshgrid(np.arange(SIZE_PX), np.arange(SIZE_PX))
    x, y = (columns - MIDDLE) / (WIDTH_PX / 2), -(rows - MIDDLE) / (WIDTH_PX / 2)
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    x, y = x * c + y * s, -x * s + y * c
    code = np.broadcast_to(design.ground, (SIZE_PX, SIZE_PX, 3)).copy()
    soft = 2 / WIDTH_PX
    for (at_x, at_y), radius, colour in zip(design.places, design.radii, design.colours, strict=True):
        share = np.clip((radius - np.hypot(x - at_x, y - at_y)) / soft + 0.5, 0, 1)[..., None]
        code = code * (1 - share) + colour * share
    code[np.hypot(x, y) > 1] = 60.0
    code = code * gains + np.random.default_rng(seed).normal(0, noise, code.shape)
    return np.clip(np.rint(code), 0, 255).astype(np.uint8)


def design_photo(name, rgb, width_mm=None):
    """The photo as if examined: no marks, no reflections; with a width if one is given."""
    turn = np.arange(720) * 2 * np.pi / 720
    contour = MIDDLE + WIDTH_PX / 2 * np.column_stack([np.cos(turn), np.sin(turn)])
    ring = RingHeight(0.35, 0.05, 0.5, "made by hand")
    eye = FarEye((MIDDLE, MIDDLE), WIDTH_PX)
    surface = DomeSurface(np.array([0.0, 0.0, 0.35]), np.eye(3) * 2, eye, contour, ring, False)
    width = None if width_mm is None else Measured(width_mm, (('outline', 0.1),))
    diameters = SimpleNamespace(max_mm=width, min_mm=width, ring=NoCard("made by hand"))
    view = SimpleNamespace(photo=SimpleNamespace(rgb=rgb, name=name), card=NoCard("made by hand"))
    findings = SimpleNamespace(
        view=view, surface=surface, unseen=(), marks=(), diameters=diameters, close_up_of='', is_base=False
    )
    empty = np.zeros((SIZE_PX, SIZE_PX))
    crop = SimpleNamespace(offset_px=(0.0, 0.0), scale_ratio=1.0)
    return SetPhoto(
        findings=findings,
        crop=crop,
        odds=np.zeros((5, SIZE_PX, SIZE_PX), np.float16),
        peak=empty.astype(np.float16) - 9,
        owner=empty.astype(np.int16),
        free=np.ones((SIZE_PX, SIZE_PX), np.uint8),
        light=np.zeros(4),
        is_from_above=True,
    )
