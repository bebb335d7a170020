"""Whether a photo looks at the piece from the side: its foot comes into view, and its height can be seen."""

import math

from calib.card_fit import CardFit
from grader.outline.constants import TOP_VIEW_TILT_MAX_DEG
from grader.outline.dome_view import NoCard


def camera_tilt_deg(card: CardFit) -> float:
    """Angle between the card's normal and the line from the card's middle to the camera."""
    x_mm, y_mm, z_mm = card.camera_position_mm
    return math.degrees(math.atan2(math.hypot(x_mm, y_mm), z_mm))


def is_side_view(card: CardFit | NoCard) -> bool:
    """Whether the camera looks at the frame card so flatly that a dome's foot comes into view.

    Without a frame card under the piece nothing is known of the side, and the photo is taken as one from above.
    """
    if isinstance(card, NoCard) or min(card.spec.clear_field_mm) <= 0:
        return False
    return camera_tilt_deg(card) > TOP_VIEW_TILT_MAX_DEG
