"""The photo of a review, where it is at hand, and the glass that it shows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from calib.errors import ActionableError
from grader.commands.review_store import RecordAtHand
from grader.evidence.packing import find_photos
from grader.outline.dome_view import DomeView
from grader.outline.height import HeightKnowledge, SeenHeight, UsualShape
from grader.outline.surface import DomeSurface, fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.record import GradingRecord
from grader.review.drawing_ground import DrawingGround, check_drawable, findings_in, ground_of_record, ground_of_surface


@dataclass(frozen=True, slots=True, eq=False)
class SeenAgain:
    """A photo of the record, seen anew."""

    view: DomeView
    """Photo, card and outline."""
    surface: DomeSurface
    """The glass, at the heights that the record states."""
    height: HeightKnowledge
    """Those heights."""


def see_again(at_hand: RecordAtHand, name: str, photo_folders: Sequence[Path]) -> SeenAgain:
    """A photo of the record with its card, outline and glass.

    It is looked for as for sealing, and by its bytes: another photo of its name is not taken for it.

    Raises
    ------
    PhotoSetUnusable
        If it is not found, or changed.
    CardUnfit, OutlineNotFound
        If it cannot be read as it was.
    """
    record, folder = at_hand.record, at_hand.path.parent
    facts = tuple(one for one in record.photos if one.name == name)
    where = (*photo_folders, folder, folder / 'photos', folder.resolve().parent, folder.resolve().parent / 'photos')
    path = find_photos(facts, where, folder)[0]
    # By the record's name: the file may have another by now.
    photo = replace(load_photo(path, record.settings.photos), name=name)
    view = see_photo(photo, record.settings)
    height = recorded_height(record, name)
    return SeenAgain(view, fit_surface(view.outline, view.card, height), height)


def recorded_height(record: GradingRecord, name: str) -> HeightKnowledge:
    """Heights that the record states for a photo, or the usual shape where it states none."""
    sizes, whole = findings_in(record, name).measurements, record.measurements.height_mm
    if sizes.ring_mm is None or sizes.u_ring_mm is None:
        return UsualShape()
    if whole is not None and name not in record.settings.sets.base:
        rise_mm = whole.value - sizes.ring_mm
    else:
        mean_mm = 0.0 if sizes.diameter_max_mm is None else sizes.diameter_max_mm.value
        rise_mm = UsualShape().ring_height(mean_mm).rise_mm
    return SeenHeight(sizes.ring_mm, sizes.u_ring_mm, rise_mm, sizes.ring_source) if rise_mm > 0 else UsualShape()


def ground_for(at_hand: RecordAtHand, name: str, photo_folders: Sequence[Path]) -> tuple[DrawingGround, str]:
    """Glass to measure a drawing on, and why it is not that of the photo itself ('' where it is).

    Raises
    ------
    ActionableError
        If neither the photo nor the record tells it.
    """
    check_drawable(at_hand.record, name)
    try:
        seen = see_again(at_hand, name, photo_folders)
    except ActionableError as err:
        return ground_of_record(at_hand.record, name), err.problem
    return ground_of_surface(at_hand.record, name, seen.surface), ''
