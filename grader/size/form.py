"""What kind of piece it is, in plain words, and which sizes belong to that kind."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calib.arrays import PointsPx
from calib.measured import Measured
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.side_view import is_side_view
from grader.size.constants import (
    EGG_RATIO_MIN,
    FACET_CORNER_DEG,
    FACET_FEWEST,
    FACET_FLAT_RATIO,
    FACET_SPAN,
    FLAT_CUT_MAX,
    FLAT_RATIO_MAX,
)
from grader.size.diameter import Diameters
from grader.size.profile import NoProfile, Profile


class FormKind(StrEnum):
    """Kinds of pieces by their form."""

    DOME = 'dome'
    EGG = 'egg'
    FACETED = 'faceted'
    FLAT = 'flat'
    UNKNOWN = 'unknown'


_WORDS = {
    FormKind.DOME: "a dome, round from above",
    FormKind.EGG: "an egg, taller than wide",
    FormKind.FACETED: "a piece with facets cut into it",
    FormKind.FLAT: "a flat piece, as a plaque or a disc",
    FormKind.UNKNOWN: "round from above; its height was not photographed",
}


@dataclass(frozen=True, slots=True)
class Form:
    """The kind of a piece, and the sizes by which collectors name it."""

    kind: FormKind
    """The kind."""
    words: str
    """One phrase for the owner."""
    sizes: tuple[tuple[str, Measured], ...]
    """Name in words, and size, the most telling first."""
    n_facets: int | None
    """Facets round the side where they can be counted; None where they cannot, or there are none."""


def judge_form(view: DomeView, diameters: Diameters, profile: Profile | NoProfile) -> Form:
    """Kind and sizes of a piece.

    Parameters
    ----------
    view : DomeView
        The best photo from above.
    diameters : Diameters
        Of that photo.
    profile : Profile or NoProfile
        What the photos from the side tell.
    """
    from_above = not is_side_view(view.card)
    is_faceted = from_above and view.outline.shape == 'free'
    kind = _kind(profile, is_faceted)
    n_facets = count_facets(view.outline.contour_px) if kind == FormKind.FACETED and from_above else None
    words = _WORDS[kind] if n_facets is None else f"{_WORDS[kind]}, {n_facets} of them round the side"
    return Form(kind, words, _sizes(kind, view, diameters, profile), n_facets)


def _kind(profile: Profile | NoProfile, is_faceted: bool) -> FormKind:
    if isinstance(profile, NoProfile):
        return FormKind.FACETED if is_faceted else FormKind.UNKNOWN
    ratio = profile.height_mm.value / profile.width_mm.value
    if ratio < FLAT_RATIO_MAX:
        return FormKind.FLAT
    if is_faceted or profile.piece.cut_ratio < FLAT_CUT_MAX:
        return FormKind.FACETED
    return FormKind.EGG if ratio > EGG_RATIO_MIN else FormKind.DOME


def _sizes(
    kind: FormKind, view: DomeView, diameters: Diameters, profile: Profile | NoProfile
) -> tuple[tuple[str, Measured], ...]:
    """The sizes of a kind, by name; only those that were measured."""
    sizes: list[tuple[str, Measured | None]] = []
    height = None if isinstance(profile, NoProfile) else profile.height_mm
    base = None if isinstance(profile, NoProfile) else profile.base_mm
    largest, smallest = diameters.max_mm, diameters.min_mm
    if isinstance(view.card, NoCard):
        return ()
    if kind == FormKind.EGG:
        sizes = [("height", height), ("girth at the widest", _girth(profile)), ("widest across", largest)]
    elif kind == FormKind.FACETED:
        sizes = [("largest width, corner to corner", largest), ("smallest width, across flats", smallest)]
        sizes += [("height", height)]
    elif kind == FormKind.FLAT:
        sizes = [("largest width", largest), ("smallest width", smallest), ("thickness", height)]
    else:
        sizes = [("diameter", largest), ("height", height)]
    sizes.append(("width of the foot", base))
    return tuple((name, size) for name, size in sizes if size is not None)


def _girth(profile: Profile | NoProfile) -> Measured | None:
    """Length of a tape round the widest ring; for rings as round as glass is, that of a circle of its mean width."""
    return None if isinstance(profile, NoProfile) else profile.mean_width_mm.scaled(float(np.pi))


def count_facets(contour_px: PointsPx) -> int | None:
    """Flats round an outline from above, or None where they cannot be counted surely.

    A flat is a stretch between two corners along which the outline hardly turns. All corners must turn clearly, and the
    flats must be about equally long.

    Parameters
    ----------
    contour_px : ndarray of shape (N, 2)
        Closed, from +x to +y.
    """
    n = len(contour_px)
    span = max(n // FACET_SPAN, 2)
    ahead, behind = np.roll(contour_px, -span, axis=0) - contour_px, contour_px - np.roll(contour_px, span, axis=0)
    turn = np.degrees(np.arctan2(behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0], (behind * ahead).sum(axis=1)))
    around = np.max([np.roll(turn, k) for k in range(-span, span + 1)], axis=0)
    corners = np.flatnonzero((turn == around) & (turn > FACET_CORNER_DEG))
    if len(corners) < FACET_FEWEST:
        return None
    lengths = np.linalg.norm(contour_px[np.roll(corners, -1)] - contour_px[corners], axis=1)
    return len(corners) if lengths.min() > FACET_FLAT_RATIO * lengths.max() else None
