"""What a drawing is measured on: the glass of one photo, from the photo itself or from the record alone."""

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from calib.arrays import PointsPx
from calib.measured import Measured
from grader.constants import MAX_PHOTO_PIXELS
from grader.errors import PhotoSetUnusable, SettingsInvalid
from grader.outline.dome_view import DomeOutline, NoCard, NoEllipse
from grader.outline.height import UsualShape
from grader.outline.surface import DomeSurface, fit_surface
from grader.record import Findings, GradingRecord, Measurement
from grader.review.constants import LEAST_PULL_RATIO
from grader.review.drawn_shape import loop_area


@dataclass(frozen=True, slots=True, eq=False)
class DrawingGround:
    """The glass of a photo."""

    photo: str
    """Name of the photo."""
    size_px: tuple[int, int]
    """Width and height of the photo."""
    surface: DomeSurface
    """The glass, in mm or in widths of the piece."""
    unit_mm: Measured | None
    """Length of the surface's unit; None where there are no millimetres."""
    eye_mm: float | None
    """How far the camera is above the widest ring, where the surface does not know that itself; None where it does, or
    nobody knows."""
    turn_h: float | None
    """What is to be added to the surface's clock for that of the piece, hours; None where nobody knows."""
    is_base: bool
    """Whether the photo shows the base."""
    source: Literal['photo', 'record']
    """What the surface was fitted to."""


def photo_of_drawing(record: GradingRecord, wanted: str, shown_in: str = '') -> str:
    """Name of the photo that a drawing is on: the wanted one, else the one that shows the mark best, or the main one.

    Raises
    ------
    SettingsInvalid
        If the record knows none of this name, or several.
    """
    name = wanted or shown_in or record.photo
    names = [photo.name for photo in record.photos]
    if names.count(name) == 1:
        return name
    if name in names:
        raise SettingsInvalid(
            f"--photo: {names.count(name)} photos of the record are called {name}.",
            "Rename one of them and examine them again.",
        )
    raise SettingsInvalid(f"--photo: {name} is not a photo of the record.", f"Give one of: {', '.join(names)}.")


def check_drawable(record: GradingRecord, photo: str) -> None:
    """Check that places in a photo can be told on the piece.

    Raises
    ------
    PhotoSetUnusable
        If it is a photo without a card beside others with one: a close-up, or one that could not be related to them.
    """
    if findings_in(record, photo).card.card == 'none' and record.card.card != 'none':
        raise PhotoSetUnusable(
            f"{photo}: this photo shows no card, so a drawing on it cannot be measured with the others.",
            "Draw on a photo that shows the card.",
        )


def findings_in(record: GradingRecord, photo: str) -> Findings:
    """What the record says of one photo by itself."""
    return next((one for one in record.other_findings if one.photo == photo), record)


def ground_of_surface(record: GradingRecord, photo: str, surface: DomeSurface) -> DrawingGround:
    """Glass that was fitted to the photo."""
    unit = Measured(1.0) if surface.is_metric else None
    return _ground(record, photo, surface, unit, None, 'photo')


def ground_of_record(record: GradingRecord, photo: str) -> DrawingGround:
    """Glass from the record alone: a usual dome under the recorded outline, seen from straight above.

    Its width is that of the piece. The camera's distance is that of the record; its tilt and the piece's true shape
    are left to the stated doubt.

    Raises
    ------
    PhotoSetUnusable
        If the photo was not taken from above, so that its outline does not tell the glass.
    """
    findings = findings_in(record, photo)
    if findings.quality.view in ('side', 'slanted', 'close-up'):
        raise PhotoSetUnusable(
            f"{photo}: this photo was not taken from above, so the record alone does not tell where on the glass a "
            "drawing lies.",
            "Put the photo beside the record, or name its folder with --photos; or draw on a photo from above.",
        )
    contour_px = np.array(findings.outline_px, dtype=np.float64).reshape(-1, 2)
    if not _is_outline(contour_px):
        raise PhotoSetUnusable(
            f"{photo}: what the record gives as the piece's outline is none, so nothing can be measured by it.",
            "Put the photo beside the record, or name its folder with --photos; or examine the photo again.",
        )
    outline = DomeOutline(contour_px, findings.shape, NoEllipse("from a record"), 0.0, ())
    surface = fit_surface(outline, NoCard("from a record"), UsualShape())
    width = record.measurements.diameter_max_mm
    if width is None or findings.card.camera_position_mm is None:
        return _ground(record, photo, surface, None, None, 'record')
    eye_mm = findings.card.camera_position_mm[2] - (findings.measurements.ring_mm or 0.0)
    ground = _ground(record, photo, surface, measured_of(width), eye_mm, 'record')
    card_turn_h = _card_turn_h(findings, surface)
    turn_h = None if ground.turn_h is None or card_turn_h is None else ground.turn_h + card_turn_h
    return replace(ground, turn_h=turn_h)


def _is_outline(contour_px: PointsPx) -> bool:
    """Whether points (N, 2) go round something that fits into a photo."""
    if len(contour_px) < 3 or np.abs(contour_px).max() > MAX_PHOTO_PIXELS:
        return False
    return loop_area(contour_px) >= 1.0


def measured_of(facts: Measurement) -> Measured:
    """Length of a record with its budget."""
    return Measured(facts.value, tuple(facts.components.items()))


def _card_turn_h(findings: Findings, surface: DomeSurface) -> float | None:
    """How the card lies turned in a photo, hours, by the marks that the record places on it; None without such marks.

    Their mean direction, each the heavier the further out it lies.
    """
    known = [mark for mark in findings.marks if mark.clock_h is not None]
    if not known:
        return None
    centres = np.array([mark.centre_px for mark in known])
    apart_h = np.array([mark.clock_h for mark in known]) - surface.clock_h(centres)
    pull = (surface.radius_ratio(centres) * np.exp(1j * apart_h * math.pi / 6)).sum()
    return float(np.angle(pull)) * 6 / math.pi if abs(pull) >= LEAST_PULL_RATIO else None


def _ground(
    record: GradingRecord,
    photo: str,
    surface: DomeSurface,
    unit_mm: Measured | None,
    eye_mm: float | None,
    source: Literal['photo', 'record'],
) -> DrawingGround:
    facts = next(one for one in record.photos if one.name == photo)
    turns = () if record.photo_set is None else record.photo_set.turns
    turn = next((one for one in turns if one.photo == photo and one.is_related), None)
    return DrawingGround(
        photo=photo,
        size_px=(facts.width_px, facts.height_px),
        surface=surface,
        unit_mm=unit_mm,
        eye_mm=eye_mm,
        turn_h=0.0 if turn is None else turn.turn_deg / 30.0,
        is_base=photo in record.settings.sets.base,
        source=source,
    )
