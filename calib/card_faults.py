"""What is wrong with a card: reasons to refuse it, and reasons to doubt it."""

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.card_flags import (
    CARD_BENT,
    CARD_CUT_OFF,
    FOCAL_DISAGREES,
    FOCAL_UNSURE,
    MARKERS_IN_GLASS,
    OFF_CENTRE,
)
from calib.card_pose import FittedPose
from calib.consensus import CardMarkers
from calib.constants import (
    BEND_REPORTED_RATIO,
    BEND_REPORTED_SIGMAS,
    BEND_UNFIT_RATIO,
    MISFIT_UNFIT_RATIO,
    PULL_UNFIT,
    U_FOCAL_UNSURE_RATIO,
)
from calib.errors import CardUnfit
from calib.pose import BEND, LOG_FOCAL


def refuse_unfit(card: CardMarkers, fitted: FittedPose, name: str) -> None:
    """Raise if no length can be taken from this card.

    Raises
    ------
    CardUnfit
        If the card is bent beyond use, or no camera could see this card so.
    """
    bend_mm, _ = bend_of(fitted)
    if bend_mm > BEND_UNFIT_RATIO * fitted.half_width_mm:
        raise CardUnfit(
            f"{name}: the card is bent, its edge stands {bend_mm:.1f} mm off its plane,"
            f" at most {BEND_UNFIT_RATIO * fitted.half_width_mm:.1f} mm can be used.",
            "Lay the card on a flat board, or glue it to one, and take the photo again.",
        )
    if np.max(np.abs(fitted.solution.pulls)) > PULL_UNFIT and bend_mm < BEND_REPORTED_RATIO * fitted.half_width_mm:
        raise CardUnfit(
            f"{name}: no camera sees a flat card of this kind so. The picture was stretched in one direction,"
            " or the card is not this program's print.",
            "Use the photo as the camera saved it, and print the card at 100 %.",
        )
    side_px = float(np.median(card.markers.sides_px))
    if fitted.solution.rms_px > MISFIT_UNFIT_RATIO * side_px:
        limit_px = MISFIT_UNFIT_RATIO * side_px
        raise CardUnfit(
            f"{name}: the card's markers lie {fitted.solution.rms_px:.1f} px off their printed places,"
            f" at most {limit_px:.1f} px can be used. The card is creased, or it is not this program's print.",
            "Print the card again, lay it flat, and take the photo again without moving the camera.",
        )


def doubts_of(card: CardMarkers, fitted: FittedPose, outline_px: PointsPx) -> tuple[str, ...]:
    """Names of the flags that this card's fit earns, in the order of their table.

    `outline_px`, (4, 2), is where the card's cut edge is expected in the photo.
    """
    bend_mm, u_mm = bend_of(fitted)
    bent = bend_mm > max(BEND_REPORTED_RATIO * fitted.half_width_mm, BEND_REPORTED_SIGMAS * u_mm)
    u_focal_ratio = float(np.sqrt(fitted.solution.covariance[LOG_FOCAL, LOG_FOCAL]))
    flags = {
        CARD_BENT: bent,
        CARD_CUT_OFF: _leaves_photo(outline_px, card.markers.size_px) and len(card.markers) < len(card.spec.markers),
        MARKERS_IN_GLASS: card.n_elsewhere > 0,
        FOCAL_UNSURE: u_focal_ratio > U_FOCAL_UNSURE_RATIO,
        FOCAL_DISAGREES: fitted.focal_disagreed,
        OFF_CENTRE: fitted.off_centre,
    }
    return tuple(name for name, holds in flags.items() if holds)


def bend_of(fitted: FittedPose) -> tuple[float, float]:
    """Greatest height (mm) of the bent card at half its width from the middle, and its u.

    The height along direction a is xx cos^2 + xy cos sin + yy sin^2.
    """
    angles = np.linspace(0, np.pi, 37)
    shapes = np.column_stack([np.cos(angles) ** 2, np.cos(angles) * np.sin(angles), np.sin(angles) ** 2])
    heights: FloatArray = np.abs(shapes @ fitted.solution.pose.values[BEND])
    k = int(np.argmax(heights))
    u2 = shapes[k] @ fitted.solution.covariance[BEND, BEND] @ shapes[k]
    return float(heights[k]), float(np.sqrt(u2))


def _leaves_photo(points_px: PointsPx, size_px: tuple[int, int]) -> bool:
    last = np.array(size_px) - 1
    return bool(np.any((points_px < 0) | (points_px > last)))
