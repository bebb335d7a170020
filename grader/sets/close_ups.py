"""Close-ups and photos of the base within a set.

A close-up stands as the photo stands that it was laid over, in its light; a photo of the base stands by itself.
"""

from collections.abc import Sequence
from dataclasses import replace

from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto

THE_BASE = PhotoTurn(0.0, 0.0, 0.0, "a photo of the base, which stands by itself")
"""The base has no place on the dome."""


def with_close_ups(turns: Sequence[PhotoTurn], photos: Sequence[SetPhoto]) -> tuple[PhotoTurn, ...]:
    """Turns of all photos, in their order, from those of the other photos of the whole, in theirs."""
    known = iter(turns)
    own = [
        None if photo.findings.close_up_of else THE_BASE if photo.findings.is_base else next(known) for photo in photos
    ]
    by_name = {photo.name: turn for photo, turn in zip(photos, own, strict=True) if turn is not None}
    return tuple(
        replace(by_name[photo.findings.close_up_of], basis=f"laid over {photo.findings.close_up_of}")
        if turn is None
        else turn
        for photo, turn in zip(photos, own, strict=True)
    )


def with_light_of_wholes(photos: Sequence[SetPhoto]) -> list[SetPhoto]:
    """The photos, close-ups with the light of the photo that they were laid over."""
    light = {photo.name: photo.light for photo in photos}
    return [
        replace(photo, light=light[photo.findings.close_up_of]) if photo.findings.close_up_of else photo
        for photo in photos
    ]
