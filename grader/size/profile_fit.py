"""One body fitted to the outlines of all side photos at once: its shape is common, its place is each photo's own."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.card_fit import CardFit
from calib.constants import MAD_TO_SD
from grader.outline.constants import (
    ROUGH_DIRECTIONS,
    SIDE_DOWN_MAX,
    SIDE_LIMITS,
    SIDE_PLACE_MM,
)
from grader.outline.turned_piece import TurnedPiece, even_turns, radii_about
from grader.outline.usual_fit import contour_radii, down_px, usual_numbers
from grader.size.constants import (
    FLAT_START,
    PROFILE_COMMON_PX,
    PROFILE_FLAT_GAIN,
    PROFILE_FLOOR_PX,
    PROFILE_INSIDE_SOFT,
    PROFILE_LOW_RATIO,
    PROFILE_NUDGE,
    PROFILE_PIXELS_AS_ONE,
    PROFILE_ROUNDS,
    PROFILE_TUKEY,
    U_STRETCH_RATIO,
)

N_SHAPE, CUT = 7, 4
"""Numbers of the shape: radius, foot, rise, drop, cut and the ring's stretch; two of place follow for each photo.
The cut's column."""


@dataclass(frozen=True, slots=True, eq=False)
class SideSight:
    """One photo's outline as radii about a point, and its card."""

    card: CardFit
    """The card's fit."""
    centre_px: FloatArray
    """(2,) a point inside the outline."""
    radii_px: FloatArray
    """(ROUGH_DIRECTIONS,) from +x to +y."""
    is_low: FloatArray
    """(ROUGH_DIRECTIONS,) 1 where the outline lies before the ground in front of the foot, else 0."""
    u_edge_px: float
    """Standard uncertainty of a common shift of the outline."""


def sight_of(card: CardFit, contour_px: PointsPx, u_edge_px: float) -> SideSight:
    """The sight of a contour (N, 2) from the side."""
    centre, radii = contour_radii(contour_px)
    is_low = (even_turns() @ down_px(card) > SIDE_DOWN_MAX).astype(np.float64)
    return SideSight(card, centre, radii, is_low, u_edge_px)


@dataclass(frozen=True, slots=True, eq=False)
class ProfileFit:
    """The common body, and what each doubt does to its numbers."""

    numbers: FloatArray
    """(N_SHAPE + 2 * photos,) shape and places."""
    covariance: FloatArray
    """Of the same, from the outlines' scatter."""
    gain: FloatArray
    """(numbers, photos * ROUGH_DIRECTIONS) what a px of each radius does to each number, to first order."""
    scatter_px: float
    """Robust standard deviation of the outlines about the body's silhouettes."""
    near_ratio: float
    """Share of the directions higher up than the foot that the body explains."""
    cost: float
    """Loss that is left, to compare bodies by."""

    def piece(self, k: int) -> TurnedPiece:
        """The body at its place in photo `k`."""
        return piece_of(self.numbers, k)


def piece_of(numbers: FloatArray, k: int) -> TurnedPiece:
    """The body of these numbers at its place in photo `k`."""
    radius, foot, rise, drop, cut, stretch_x, stretch_y = (float(v) for v in numbers[:N_SHAPE])
    x, y = (float(v) for v in numbers[N_SHAPE + 2 * k : N_SHAPE + 2 * k + 2])
    lower = drop * rise * radius
    return TurnedPiece(x, y, radius, foot * lower, rise * radius, lower, min(cut, 1.0), stretch_x, stretch_y)


def fit_profile(
    sights: Sequence[SideSight], starts: Sequence[TurnedPiece], width: tuple[float, float] | None = None
) -> ProfileFit:
    """Fit a body that is round on top and one that is cut off flat, which has to explain the outlines clearly better.

    Parameters
    ----------
    sights : sequence of SideSight
    starts : sequence of TurnedPiece
        The piece as each single photo shows it.
    width : (float, float), optional
        Mean width of the widest ring and its standard uncertainty, mm, as photos from above tell it.
    """
    domed = _fit(sights, starts, width, has_flat=False)
    flat = _fit(sights, starts, width, has_flat=True)
    return flat if flat.cost < domed.cost - PROFILE_FLAT_GAIN else domed


def _fit(
    sights: Sequence[SideSight],
    starts: Sequence[TurnedPiece],
    width: tuple[float, float] | None,
    *,
    has_flat: bool,
) -> ProfileFit:
    """Fit the body by reweighted Gauss-Newton steps.

    The weights are Tukey's, softer for outlines that lie inside the silhouette: facets cut into a body, nothing stands
    out of it. What is usual for paperweights holds the numbers as an old measurement would.
    """
    usual, u_usual, low, high = _usual(starts)
    if width is not None:
        usual[0], u_usual[0] = width[0] / 2, width[1] / 2
    numbers = np.clip(_first(starts), low, high)
    numbers[CUT] = min(float(numbers[CUT]), FLAT_START) if has_flat else 1.0
    free = np.ones(len(numbers), dtype=bool)
    free[CUT] = has_flat
    scale = PROFILE_FLOOR_PX * 4
    for round_ in range(PROFILE_ROUNDS):
        off, slopes = _off(numbers, sights), _slopes(numbers, sights)
        weight = _weights(off, scale, sights)
        root = np.sqrt(weight / PROFILE_PIXELS_AS_ONE) / scale
        rows = np.vstack([slopes * root[:, None], np.diag(1 / u_usual)])[:, free]
        aims = np.concatenate([-off * root, (usual - numbers) / u_usual])
        step = np.linalg.lstsq(rows, aims, rcond=None)[0]
        numbers[free] = np.clip(numbers[free] + step, low[free], high[free])
        near = np.abs(off[weight > 0.1])
        spread = MAD_TO_SD * float(np.median(near)) if len(near) else scale
        scale = max(PROFILE_FLOOR_PX, spread, scale / 2 if round_ < PROFILE_ROUNDS // 2 else 0.0)
    covariance = np.zeros((len(numbers), len(numbers)))
    covariance[np.ix_(free, free)] = np.linalg.inv(rows.T @ rows)
    gain = np.zeros((len(numbers), len(off)))
    gain[free] = covariance[np.ix_(free, free)] @ (rows[: len(off)] * root[:, None]).T
    is_low = np.concatenate([sight.is_low for sight in sights]) > 0
    cost = _cost(_off(numbers, sights), sights) + 0.5 * float((((usual - numbers) / u_usual) ** 2).sum())
    return ProfileFit(numbers, covariance, gain, scale, float((weight[~is_low] > 0.1).mean()), cost)


def _cost(off: FloatArray, sights: Sequence[SideSight]) -> float:
    """Tukey's loss at a common scale, to compare bodies by."""
    scale = PROFILE_COMMON_PX
    limit = PROFILE_TUKEY * scale * np.where(off > 0, PROFILE_INSIDE_SOFT, 1.0)
    low = np.concatenate([sight.is_low for sight in sights])
    loss = (limit / scale) ** 2 / 6 * (1 - np.clip(1 - (off / limit) ** 2, 0, 1) ** 3)
    return float((np.nan_to_num(loss) * np.where(low > 0, PROFILE_LOW_RATIO, 1.0)).sum() / PROFILE_PIXELS_AS_ONE)


def _off(numbers: FloatArray, sights: Sequence[SideSight]) -> FloatArray:
    """Silhouette less outline, px, photo by photo, (photos * ROUGH_DIRECTIONS,)."""
    return np.concatenate([off_of(piece_of(numbers, k), sight) for k, sight in enumerate(sights)])


def off_of(piece: TurnedPiece, sight: SideSight, card: CardFit | None = None) -> FloatArray:
    """Silhouette less outline of one photo, px, (ROUGH_DIRECTIONS,); `card` in place of the photo's own."""
    return radii_about(sight.centre_px, piece.silhouette(card or sight.card)) - sight.radii_px


def _slopes(numbers: FloatArray, sights: Sequence[SideSight]) -> FloatArray:
    """What each number does to `_off`, (photos * ROUGH_DIRECTIONS, numbers)."""
    n = ROUGH_DIRECTIONS
    slopes = np.zeros((n * len(sights), len(numbers)))
    for k, sight in enumerate(sights):
        here = off_of(piece_of(numbers, k), sight)
        for column in (*range(N_SHAPE), N_SHAPE + 2 * k, N_SHAPE + 2 * k + 1):
            nudged = numbers.copy()
            nudge = PROFILE_NUDGE * (-1 if column == CUT else 1) * (1.0 if column >= N_SHAPE or column == 0 else 0.01)
            nudged[column] += nudge
            slopes[k * n : (k + 1) * n, column] = (off_of(piece_of(nudged, k), sight) - here) / nudge
    return np.nan_to_num(slopes)


def _weights(off: FloatArray, scale: float, sights: Sequence[SideSight]) -> FloatArray:
    """Tukey's weights; the outline inside the silhouette (off > 0) fades sooner, the low part counts less."""
    limit = PROFILE_TUKEY * scale * np.where(off > 0, PROFILE_INSIDE_SOFT, 1.0)
    low = np.concatenate([sight.is_low for sight in sights])
    share = np.clip(1 - (off / limit) ** 2, 0, 1) ** 2
    return np.asarray(np.nan_to_num(share) * np.where(low > 0, PROFILE_LOW_RATIO, 1.0))


def _usual(starts: Sequence[TurnedPiece]) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Usual numbers, their standard deviations, and limits."""
    n_photos = len(starts)
    typical = sorted(starts, key=lambda one: one.rise_mm / one.radius_mm)[n_photos // 2]
    usual, u_usual = (
        np.append(numbers[2:], [end, end])
        for numbers, end in zip(usual_numbers(typical), (0.0, U_STRETCH_RATIO), strict=True)
    )
    low, high = (
        np.array([*limit[2:], sign * 0.05, sign * 0.05]) for limit, sign in zip(SIDE_LIMITS, (-1, 1), strict=True)
    )
    place = np.zeros(2 * n_photos)
    return (
        np.concatenate([usual, place]),
        np.concatenate([u_usual, place + SIDE_PLACE_MM]),
        np.concatenate([low, place + SIDE_LIMITS[0][0]]),
        np.concatenate([high, place + SIDE_LIMITS[1][0]]),
    )


def _first(starts: Sequence[TurnedPiece]) -> FloatArray:
    """Median shape of the single photos' pieces, and their places."""
    shapes = [
        (one.radius_mm, one.ring_mm / one.drop_mm, one.rise_mm / one.radius_mm, one.drop_mm / one.rise_mm,
         one.cut_ratio, 0.0, 0.0)
        for one in starts
    ]  # fmt: skip
    places = [value for one in starts for value in (one.x_mm, one.y_mm)]
    return np.concatenate([np.median(shapes, axis=0), places])
