"""How a photo is taken: scale, tilt of the camera, what kind of view it is, and how much of the rim it shows."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.arrays import FloatArray
from calib.card_fit import CardFit
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.side_view import is_side_view
from grader.outline.surface import DomeSurface
from grader.quality.constants import ABOVE_ELEVATION_DEG, RIM_SHARE_LEAST

ViewKind = Literal['above', 'slanted', 'side', 'close-up', 'unknown']


@dataclass(frozen=True, slots=True)
class Placing:
    """Where the camera stood, as far as the card tells."""

    view: ViewKind
    """'above' or 'side' by the card's pose, 'slanted' where neither fits; 'close-up' where the piece does not fit
    into the picture; 'unknown' without a card."""
    px_per_mm: float | None
    """Scale at the piece's widest ring; None without a card."""
    tilt_deg: float | None
    """Angle between the view and straight down; None without a card."""
    turn_deg: float | None
    """Direction from the piece to the camera in the card frame, 0 to 360; None where it is seen from above."""
    rim_ratio: float
    """Share of the piece's rim, 0 to 1, that is in the picture."""


def judge_placing(view: DomeView, surface: DomeSurface | None) -> Placing:
    """Scale, tilt and kind of a view.

    Parameters
    ----------
    view : DomeView
    surface : DomeSurface or None
        Tells how far the piece is from the camera; without it the card's middle stands for it.
    """
    rim = rim_in_picture(view)
    if isinstance(view.card, NoCard):
        return Placing('close-up' if rim < RIM_SHARE_LEAST else 'unknown', None, None, None, rim)
    card = view.card
    foot = _foot_mm(surface)
    x_mm, y_mm, z_mm = card.camera_position_mm - foot
    tilt = float(np.degrees(np.arctan2(np.hypot(x_mm, y_mm), z_mm)))
    kind: ViewKind = 'slanted'
    if tilt <= 90.0 - ABOVE_ELEVATION_DEG:
        kind = 'above'
    elif is_side_view(card):
        kind = 'side'
    turn = None if kind == 'above' else float(np.degrees(np.arctan2(y_mm, x_mm)) % 360)
    return Placing(kind, _scale(card, surface), tilt, turn, rim)


def rim_in_picture(view: DomeView) -> float:
    """Share of the outline's points that lie in the picture."""
    width, height = view.photo.size_px
    contour = view.outline.contour_px
    within = np.all((contour > 0) & (contour < (width - 1, height - 1)), axis=1)
    return float(within.mean())


def _scale(card: CardFit, surface: DomeSurface | None) -> float:
    """Px for a mm square to the view at the middle of the widest ring."""
    ring_mm = 0.0 if surface is None else float(surface.centre_mm[2])
    middle = _foot_mm(surface) + np.array([0.0, 0.0, ring_mm])
    return card.camera.focal_px / float(np.linalg.norm(card.camera_position_mm - middle))


def _foot_mm(surface: DomeSurface | None) -> FloatArray:
    """Where the piece stands on the card's plane, (3,); the card's middle where that is not known."""
    if surface is None or not surface.is_metric:
        return np.zeros(3)
    return np.asarray(surface.centre_mm * np.array([1.0, 1.0, 0.0]))
