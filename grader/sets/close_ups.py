"""Close-ups within a set: they stand as the photo stands that they were laid over, in its light."""

from collections.abc import Sequence
from dataclasses import replace

from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto


def with_close_ups(turns: Sequence[PhotoTurn], photos: Sequence[SetPhoto]) -> tuple[PhotoTurn, ...]:
    """Turns of all photos, in their order, from those of the photos of the whole, in theirs."""
    wholes = [photo.name for photo in photos if not photo.findings.close_up_of]
    by_name = dict(zip(wholes, turns, strict=True))
    return tuple(
        by_name[photo.name]
        if not photo.findings.close_up_of
        else replace(by_name[photo.findings.close_up_of], basis=f"laid over {photo.findings.close_up_of}")
        for photo in photos
    )


def with_light_of_wholes(photos: Sequence[SetPhoto]) -> list[SetPhoto]:
    """The photos, close-ups with the light of the photo that they were laid over."""
    light = {photo.name: photo.light for photo in photos}
    return [
        replace(photo, light=light[photo.findings.close_up_of]) if photo.findings.close_up_of else photo
        for photo in photos
    ]
