"""Which parts of the dome the photos show, and which none of them does."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from grader.marks.zones import CROWN_RADIUS_RATIO, SHOULDER_RADIUS_RATIO
from grader.outline.surface import DomeSurface
from grader.sets.constants import COVERAGE_CLEAR, COVERAGE_POINTS
from grader.sets.find_turns import PhotoTurn
from grader.sets.places import pixels_of
from grader.sets.set_photo import SetPhoto
from grader.sets.sightings import to_photo

BELOW_RING = 'below the widest ring'
BANDS = ('crown', 'shoulder', 'rim', BELOW_RING)
"""Bands of the dome from its top to its foot."""

QUARTERS = ("12 to 3 o'clock", "3 to 6 o'clock", "6 to 9 o'clock", "9 to 12 o'clock")
"""Quarters of a band, by the main photo's clock."""


@dataclass(frozen=True, slots=True)
class Sector:
    """A quarter of a band of the dome."""

    band: str
    """One of ``BANDS``."""
    quarter: str
    """One of ``QUARTERS``."""
    seen_ratio: float
    """Share of its surface, 0 to 1, that at least one photo shows clearly."""
    photos: tuple[int, ...]
    """Numbers of the photos that show at least half of it."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """What of the dome was seen. The foot's underside is no part of it."""

    seen_ratio: float
    """Share of the dome's surface, 0 to 1, that at least one photo shows clearly."""
    photo_ratios: tuple[float, ...]
    """The same for each photo alone."""
    sectors: tuple[Sector, ...]
    """By band, then by quarter."""
    main_unseen_ratio: float
    """Share of the main photo's view of the piece, 0 to 1, that no photo shows clearly."""


def measure_coverage(photos: Sequence[SetPhoto], turns: Sequence[PhotoTurn]) -> Coverage:
    """What of the dome the photos show; photos whose turn is not sure count for nothing, the main photo excepted.

    Points are spread evenly over the dome of the main photo, down to its foot.
    """
    places, areas = dome_places(photos[0].surface)
    views = [
        to_photo(places, photo, turn)[1] if turn.is_sure else np.zeros(len(places))
        for photo, turn in zip(photos, turns, strict=True)
    ]
    clear = np.array(views) >= COVERAGE_CLEAR
    by_any = np.asarray(clear.any(axis=0))
    return Coverage(
        seen_ratio=surface_share(by_any, areas),
        photo_ratios=tuple(surface_share(one, areas) for one in clear),
        sectors=tuple(_sectors(places, areas, clear)),
        main_unseen_ratio=_unseen_of_view(photos[0], places, areas, by_any),
    )


def dome_places(main: DomeSurface) -> tuple[FloatArray, FloatArray]:
    """Places (N, 3) spread evenly over a dome down to its foot, and the surface that each stands for, (N,)."""
    places = _spread_places()
    heights = main.centre_mm[2] + places[:, 2] / main.shape[2, 2]
    places = places[heights > 0] if main.is_metric else places[places[:, 2] > 0]
    return places, _areas(main, places)


def band_of(places: FloatArray) -> npt.NDArray[np.intp]:
    """Number in ``BANDS`` of the band that each place (N, 3) lies in, (N,)."""
    radius = np.hypot(places[:, 0], places[:, 1])
    return np.select(
        [places[:, 2] <= 0, radius <= CROWN_RADIUS_RATIO, radius <= SHOULDER_RADIUS_RATIO], [3, 0, 1], default=2
    )


def surface_share(which: np.ndarray, areas: FloatArray) -> float:
    """Share of the surface, 0 to 1, that lies where `which` (N,) holds."""
    return float(areas[which].sum() / areas.sum()) if areas.size else 0.0


def _spread_places() -> FloatArray:
    """Unit vectors spread evenly over the sphere, (COVERAGE_POINTS, 3): a spiral with the golden angle."""
    k = np.arange(COVERAGE_POINTS)
    z = 1 - (2 * k + 1) / COVERAGE_POINTS
    turn = k * math.pi * (3 - math.sqrt(5))
    flat = np.sqrt(1 - z**2)
    return np.column_stack([flat * np.cos(turn), flat * np.sin(turn), z])


def _areas(surface: DomeSurface, places: FloatArray) -> FloatArray:
    """Surface that each place stands for, but for a factor: the sphere is stretched to the ellipsoid."""
    return np.asarray(np.linalg.norm(places @ surface.shape, axis=1) / np.linalg.det(surface.shape))


def _sectors(places: FloatArray, areas: FloatArray, clear: np.ndarray) -> list[Sector]:
    band = band_of(places)
    quarter = np.floor(np.degrees(np.arctan2(places[:, 0], places[:, 1])) % 360 / 90).astype(int) % 4
    found = []
    for b, band_name in enumerate(BANDS):
        for q, quarter_name in enumerate(QUARTERS):
            here = (band == b) & (quarter == q)
            if here.any():
                shares = [surface_share(one[here], areas[here]) for one in clear]
                seen = surface_share(np.asarray(clear[:, here].any(axis=0)), areas[here])
                found.append(
                    Sector(band_name, quarter_name, seen, tuple(k for k, one in enumerate(shares) if one >= 0.5))
                )
    return found


def _unseen_of_view(main: SetPhoto, places: FloatArray, areas: FloatArray, by_any: np.ndarray) -> float:
    """Share of the main photo's view of the piece that no photo shows, each place by the room that it takes there."""
    _, facing = pixels_of(main.surface, places)
    return surface_share(~by_any, areas * np.maximum(facing, 0.0))
