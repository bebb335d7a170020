"""Rings of the dome as seen from above, named from the middle outwards."""

# Outer edge of the crown, as a share of the way from the middle (0) to the rim (1) seen from above.
# Source: convention of this project; on a half sphere the surface leans 27 degrees there.
CROWN_RADIUS_RATIO = 0.45

# Outer edge of the shoulder, on the same scale.
# Source: convention of this project; on a half sphere the surface leans 58 degrees there, and beyond it a top photo
# shows the surface at less than half its size.
SHOULDER_RADIUS_RATIO = 0.85


def zone_of(radius_ratio: float) -> str:
    """Return 'crown', 'shoulder' or 'rim' for a place 0 (middle) to 1 (rim) seen from above."""
    if radius_ratio < 0.0:
        raise ValueError(f'radius_ratio must not be negative, got {radius_ratio}')
    if radius_ratio <= CROWN_RADIUS_RATIO:
        return 'crown'
    return 'shoulder' if radius_ratio <= SHOULDER_RADIUS_RATIO else 'rim'
