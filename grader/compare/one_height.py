"""One height for all photos of what may be one piece: what the photo knows best that shows it best."""

from dataclasses import replace

from grader.compare.sides import Sides
from grader.outline.dome_view import NoCard
from grader.outline.height import RingHeight, SeenHeight
from grader.outline.surface import fit_surface
from grader.sets.set_photo import SetPhoto
from grader.size.diameter import measure_diameters


def with_one_height(sides: Sides) -> Sides:
    """Both sides with the glass of each photo from above taken as high as the photo says that knows it best.

    If both sides show one piece it has one height; and if it is wrong it is equally wrong, so that designs seen through
    the glass and widths stay comparable.
    """
    rings = [ring for photo in (*sides.before, *sides.after) if (ring := _ring(photo)) is not None]
    if not rings:
        return sides
    best = min(rings, key=lambda ring: ring.u_ring_mm)
    return Sides(*(tuple(_raised(photo, best) for photo in photos) for photos in (sides.before, sides.after)))


def _ring(photo: SetPhoto) -> RingHeight | None:
    """Height of the widest ring by a photo with a card."""
    ring = photo.findings.diameters.ring
    return None if isinstance(ring, NoCard) else ring


def _raised(photo: SetPhoto, best: RingHeight) -> SetPhoto:
    """A photo whose glass is as high as `best` says; as it is where it was seen from the side, or has no card."""
    own = _ring(photo)
    if own is None or not photo.is_from_above or own == best or photo.findings.close_up_of:
        return photo
    found = photo.findings
    height = SeenHeight(best.ring_mm, best.u_ring_mm, best.rise_mm, best.source)
    surface = fit_surface(found.view.outline, found.view.card, height)
    diameters = measure_diameters(found.view, height)
    return replace(photo, findings=replace(found, surface=surface, diameters=diameters))
