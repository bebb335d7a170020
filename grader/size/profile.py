"""Height, widest ring and foot of a piece from photos from the side, with standard uncertainties by named cause."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from calib.card_fit import CardFit
from calib.measured import Measured
from grader.outline.constants import ROUGH_DIRECTIONS
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.height import FromSides, HeightKnowledge, UsualShape
from grader.outline.side_view import is_side_view
from grader.outline.turned_piece import TurnedPiece
from grader.outline.usual_fit import piece_of_contour
from grader.size.constants import (
    FOOT_LEAST_RATIO,
    PROFILE_FLOOR_PX,
    PROFILE_NEAR_MIN,
    PROFILE_SCATTER_MAX_PX,
    U_FOOT_FORM_RATIO,
    U_FORM_DISAGREE_RATIO,
    U_FORM_OF_SCATTER,
    U_FORM_RATIO,
)
from grader.size.diameter import CARD_PRINT, MARKER_CORNERS, OUTLINE, measure_diameters
from grader.size.profile_fit import N_SHAPE, ProfileFit, SideSight, fit_profile, off_of, piece_of, sight_of

FORM = "form of the glass"


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """What photos from the side tell of a piece."""

    height_mm: Measured
    """From the card to the top."""
    ring_mm: Measured
    """Height of the widest ring above the card."""
    width_mm: Measured
    """Largest width, as far as the side photos tell it."""
    mean_width_mm: Measured
    """Mean width of the widest ring."""
    base_mm: Measured | None
    """Width of the foot; None where the piece stands on little more than a point."""
    piece: TurnedPiece
    """The body, in the middle of the card."""
    places_mm: FloatArray
    """(n_photos, 2) where it stands on the card in each photo, in the order of the views."""
    n_photos: int
    """Photos from the side that were used."""
    flags: tuple[str, ...]
    """Names of flags, see ``grader.flags``."""

    @property
    def knowledge(self) -> HeightKnowledge:
        """What this tells the photos from above: nothing if the side photos disagree."""
        if self.flags:
            return UsualShape()
        return FromSides(self.piece, self.ring_mm.u, self.mean_width_mm, self.width_mm)


@dataclass(frozen=True, slots=True)
class NoProfile:
    """Why there is no profile."""

    reason: str
    """In words."""


def measure_profile(views: Sequence[DomeView]) -> Profile | NoProfile:
    """Height, ring and foot of one piece from all its photos.

    The piece may have been moved between the photos; turned too, as far as its ring is a circle. Photos from above only
    give the width a start.

    Parameters
    ----------
    views : sequence of DomeView
        Photos of one piece; those from the side count.
    """
    sides = [view for view in views if is_side_view(view.card)]
    if not sides:
        return NoProfile("no photo from the side with the card under the piece")
    sights = [_sight(view) for view in sides]
    starts = [
        piece_of_contour(sight.card, view.outline.contour_px).piece for sight, view in zip(sights, sides, strict=True)
    ]
    fit = fit_profile(sights, starts, _width_from_above(views))
    measure = _Budget(fit, sights)
    piece = fit.piece(0)
    base = measure.of(lambda one: 2 * one.base_radius_mm, U_FOOT_FORM_RATIO)
    places = fit.numbers[N_SHAPE:].reshape(-1, 2)
    return Profile(
        height_mm=measure.of(lambda one: one.height_mm),
        ring_mm=measure.of(lambda one: one.ring_mm, U_FOOT_FORM_RATIO),
        width_mm=measure.of(lambda one: one.largest_width_mm),
        mean_width_mm=measure.of(lambda one: 2 * one.radius_mm),
        base_mm=base if base.value > FOOT_LEAST_RATIO * 2 * piece.radius_mm else None,
        piece=piece.moved_to(0.0, 0.0),
        places_mm=places,
        n_photos=len(sides),
        flags=_flags(fit),
    )


def _flags(fit: ProfileFit) -> tuple[str, ...]:
    doubtful = fit.scatter_px > PROFILE_SCATTER_MAX_PX or fit.near_ratio < PROFILE_NEAR_MIN
    return ('sides-disagree',) if doubtful else ()


def _sight(view: DomeView) -> SideSight:
    assert isinstance(view.card, CardFit)
    return sight_of(view.card, view.outline.contour_px, view.outline.u_edge_px)


def _width_from_above(views: Sequence[DomeView]) -> tuple[float, float] | None:
    """Largest width and its standard uncertainty, of the photo from above that knows it best."""
    above = [view for view in views if not isinstance(view.card, NoCard) and not is_side_view(view.card)]
    widths = [measure_diameters(view, UsualShape()).max_mm for view in above]
    known = sorted((one.u, one.value) for one in widths if one is not None)
    return (known[0][1], known[0][0]) if known else None


class _Budget:
    """Sizes of the body with their doubts; JCGM 100:2008, 5.1.2, slopes by finite differences."""

    def __init__(self, fit: ProfileFit, sights: Sequence[SideSight]) -> None:
        self._fit = fit
        cards = [sight.card for sight in sights]
        self._u_print_ratio = max(card.u_print_ratio for card in cards)
        self._by_cards = [_by_card(fit, sight, k) for k, sight in enumerate(sights)]
        shift_px = np.repeat([sight.u_edge_px for sight in sights], ROUGH_DIRECTIONS)
        # The rim's look is the same in all photos, so its shift is taken to be common to them.
        self._by_edge = fit.gain @ shift_px

    def of(self, size: Callable[[TurnedPiece], float], u_form_ratio: float = U_FORM_RATIO) -> Measured:
        """A size with its causes of doubt."""
        numbers, covariance = self._fit.numbers, self._fit.covariance
        value = size(piece_of(numbers, 0))
        nudges = 1e-4 * np.maximum(np.abs(numbers), 1e-2)
        # Downwards, so that a cut never exceeds 1.
        slopes = np.zeros(len(numbers))
        for column in range(N_SHAPE):
            moved = numbers.copy()
            moved[column] -= nudges[column]
            slopes[column] = (value - size(piece_of(moved, 0))) / nudges[column]
        corners = np.sqrt(sum(float(slopes @ part @ slopes) for part in self._by_cards))
        outline = np.hypot(float(slopes @ self._by_edge), np.sqrt(float(slopes @ covariance @ slopes)))
        excess = max(self._fit.scatter_px - PROFILE_FLOOR_PX, 0.0)
        u_form_ratio += U_FORM_OF_SCATTER * excess + (U_FORM_DISAGREE_RATIO if _flags(self._fit) else 0.0)
        return Measured(
            float(value),
            (
                (CARD_PRINT, float(value * self._u_print_ratio)),
                (MARKER_CORNERS, float(corners)),
                (OUTLINE, float(outline)),
                (FORM, float(value * u_form_ratio)),
            ),
        )


def _by_card(fit: ProfileFit, sight: SideSight, k: int) -> FloatArray:
    """Covariance (numbers, numbers) of the body that comes from the card fit of photo `k`."""
    card, piece = sight.card, fit.piece(k)
    gain = fit.gain[:, k * ROUGH_DIRECTIONS : (k + 1) * ROUGH_DIRECTIONS]
    here = off_of(piece, sight)
    steps = np.maximum(np.sqrt(np.diag(card.covariance)) * 0.1, 1e-9)
    moved = [off_of(piece, sight, card.moved(step)) - here for step in np.diag(steps)]
    slopes = -gain @ np.nan_to_num(np.array(moved)).T / steps
    return np.asarray(slopes @ card.covariance @ slopes.T)
