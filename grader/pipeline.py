"""The path of a photo, from the file to the record."""

import logging
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from calib.card_fit import CardFit, fit_card
from calib.errors import ActionableError, CardNotFound
from grader.constants import SMALL_PIECE_PX
from grader.errors import PhotoSetUnusable
from grader.findings import PhotoFindings, unseen_ratio_of
from grader.grade.grade import grade_piece
from grader.grade.rules import CURRENT_RULES, GradeRules, load_rules
from grader.marks.find_marks import find_marks, piece_odds
from grader.marks.mark import BASE_ZONE
from grader.marks.unseen import find_unseen
from grader.opencv_pin import pin_opencv
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.height import HeightKnowledge, UsualShape, height_knowledge
from grader.outline.judge_height import judge_height
from grader.outline.see_dome import find_outline
from grader.outline.side_view import is_side_view
from grader.outline.surface import DomeSurface, fit_surface
from grader.photos.load import Photo, load_photo
from grader.progress import Progress
from grader.quality.assess import assess_photo
from grader.quality.photo_quality import PhotoQuality
from grader.record import GradingRecord
from grader.record_build import build_record
from grader.sets.close_up_place import PlacedCloseUp, place_close_up
from grader.sets.judge_set import SetFindings, judge_set
from grader.settings import CardSettings, Settings
from grader.size.diameter import Diameters, measure_diameters
from grader.size.profile import NoProfile, Profile, measure_profile

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Job:
    """What an examination is told besides its photos."""

    settings: Settings
    """Settings of the run."""
    now: datetime | None
    """Time to state in the record, or None for a record without time."""


@dataclass(frozen=True, slots=True, eq=False)
class Examination:
    """A record, and what it was made of."""

    record: GradingRecord
    """The record."""
    findings: tuple[PhotoFindings, ...]
    """What each photo shows, the main photo first."""
    together: SetFindings | None
    """What they show together; None for a single photo."""


def examine_photos(
    paths: Sequence[Path], settings: Settings, *, now: datetime | None, progress: Progress
) -> Examination:
    """Examine the photos of one piece.

    Each photo is examined by itself. Then several photos make one judgement: their marks are joined on the piece, and
    it is graded once. The main photo, which shows the piece most from above, gives the widths, with the heights of the
    photos from the side. The order of the paths does not matter.

    Raises
    ------
    ActionableError
        The fault of the photo, where a single one cannot be examined. Of several, those that cannot are listed in the
        record.
    PhotoSetUnusable
        If none of several photos can be examined.
    """
    pin_opencv()
    rules = load_rules(CURRENT_RULES)
    faults: list[tuple[str, ActionableError]] = []
    progress.start(len(paths))
    try:
        views, close_ups = see_photos(paths, settings, faults, progress)
        bases = frozenset(settings.sets.base)
        profile = measure_profile([view for view in views if view.photo.name not in bases])
        height = height_of_piece(profile, settings)
        findings = []
        for view in views:
            is_base = view.photo.name in bases
            progress.begin(f"looking for marks in {view.photo.name}")
            findings.append(examine_view(view, UsualShape() if is_base else height, rules, is_base=is_base))
            progress.step(view.photo.name)
        wholes = {one.view.photo.sha256: one for one in findings}
        for close_up in close_ups:
            progress.begin(f"looking for marks in {close_up.photo.name}")
            findings.append(examine_close_up(close_up, wholes[close_up.whole.photo.sha256], rules))
            progress.step(close_up.photo.name)
        if len(findings) > 1:
            progress.begin("putting together what the photos show")
    finally:
        progress.finish()
    if not findings:
        raise _nothing_examined(faults)
    ordered = main_photo_first(findings)
    together = judge_set(ordered, rules, frozenset(settings.sets.wiped)) if len(ordered) > 1 else None
    record = build_record(ordered, faults, settings, now, profile, together)
    return Examination(record, ordered, together)


def see_photos(
    paths: Sequence[Path], settings: Settings, faults: list[tuple[str, ActionableError]], progress: Progress
) -> tuple[list[DomeView], list[PlacedCloseUp]]:
    """Card and outline of each photo, and close-ups that could be laid over another photo, both by name.

    Photos that show neither join `faults`.
    """
    views: list[DomeView] = []
    close_ups: list[PlacedCloseUp] = []
    without_card: list[tuple[Photo, NoCard]] = []

    def fault(name: str, err: ActionableError) -> None:
        faults.append((name, err))
        progress.step(name)

    for path in sorted(set(paths), key=lambda one: (one.name, str(one))):
        progress.begin(f"finding the piece in {path.name}")
        try:
            photo = load_photo(path, settings.photos)
            card = see_card(photo, settings.card)
            if isinstance(card, NoCard):
                without_card.append((photo, card))
            else:
                views.append(view_of(photo, card))
        except ActionableError as err:
            fault(path.name, err)
    wholes = [view for view in views if not is_side_view(view.card)]
    for photo, card in without_card:
        progress.begin(f"finding the place that {photo.name} shows")
        placed = place_close_up(photo, wholes)
        if placed is not None:
            close_ups.append(placed)
            continue
        try:
            views.append(view_of(photo, card))
        except ActionableError as err:
            fault(photo.name, err)
    return sorted(views, key=lambda view: (view.photo.name, view.photo.sha256)), close_ups


def see_photo(photo: Photo, settings: Settings) -> DomeView:
    """Card and outline of one photo.

    Raises
    ------
    CardNotFound, CardUnfit, ProfileUnfit, OutlineNotFound
        If the photo does not show what is needed.
    """
    return view_of(photo, see_card(photo, settings.card))


def view_of(photo: Photo, card: CardFit | NoCard) -> DomeView:
    """Outline of the piece in a photo whose card is known.

    Raises
    ------
    OutlineNotFound
        If the photo shows no piece.
    """
    return DomeView(photo, card, find_outline(photo.rgb, card, name=photo.name))


def height_of_piece(profile: Profile | NoProfile, settings: Settings) -> HeightKnowledge:
    """What is known of the piece's height before each photo is looked at by itself: side photos outrank the user."""
    if isinstance(profile, Profile) and not isinstance(profile.knowledge, UsualShape):
        return profile.knowledge
    return height_knowledge(settings.size.height_mm)


def examine_view(view: DomeView, height: HeightKnowledge, rules: GradeRules, *, is_base: bool = False) -> PhotoFindings:
    """Size, marks, what could not be seen, and the grade of what one photo shows, be it the base."""
    judged = judge_height(view.photo.rgb, view.card, view.outline, height)
    diameters = measure_diameters(view, judged)
    surface = fit_surface(view.outline, view.card, judged)
    return examine_surface(view, surface, diameters, rules, is_base=is_base)


def examine_close_up(close_up: PlacedCloseUp, whole: PhotoFindings, rules: GradeRules) -> PhotoFindings:
    """The same of a close-up, on the glass of the photo that it was laid over."""
    view = close_up.view()
    surface, diameters = close_up.surface(whole.surface), measure_diameters(view, UsualShape())
    found = examine_surface(view, surface, diameters, rules, is_base=whole.is_base)
    return replace(found, close_up_of=whole.view.photo.name)


def examine_surface(
    view: DomeView, surface: DomeSurface, diameters: Diameters, rules: GradeRules, *, is_base: bool
) -> PhotoFindings:
    """Marks, what could not be seen, quality and grade of a photo whose glass is known."""
    piece = piece_odds(view, surface)
    marks = find_marks(piece, surface)
    if is_base:
        marks = tuple(replace(mark, zone=BASE_ZONE, radius_ratio=None) for mark in marks)
    unseen = find_unseen(view, surface)
    quality = assess_photo(view, surface, unseen)
    flags = flags_of(view, diameters, quality)
    grade = grade_piece(marks, diameters.max_mm, diameters.max_px, unseen_ratio_of(unseen), rules, flags)
    logger.info('%s: %d marks, %s', view.photo.name, len(marks), grade.headline)
    return PhotoFindings(view, surface, diameters, piece, marks, unseen, quality, grade, flags, is_base=is_base)


def see_card(photo: Photo, settings: CardSettings) -> CardFit | NoCard:
    """Fit of the calibration card in a photo, or why there is none.

    Raises
    ------
    CardNotFound
        If there is none and the settings require one.
    CardUnfit, ProfileUnfit
        If there is one that cannot be measured with.
    """
    try:
        return fit_card(
            photo.rgb,
            name=photo.name,
            f35_mm=photo.f35_mm,
            profile=settings.profile,
            print_scale=settings.print_scale,
        )
    except CardNotFound as err:
        if settings.required:
            raise
        logger.info('%s: no card', photo.name)
        return NoCard(err.problem)


def main_photo_first(findings: Sequence[PhotoFindings]) -> tuple[PhotoFindings, ...]:
    """Findings with that of the main photo first: with a card, and seen most from above, not the base."""
    return tuple(sorted(findings, key=_main_order))


def flags_of(view: DomeView, diameters: Diameters, quality: PhotoQuality) -> tuple[str, ...]:
    """Names of the flags that concern a whole photo; those of single marks stay with them."""
    card_flags = ('no-card',) if isinstance(view.card, NoCard) else view.card.flags
    size_flags = ('piece-small-in-photo',) if diameters.max_px < SMALL_PIECE_PX else ()
    return tuple(dict.fromkeys((*view.photo.flags, *card_flags, *view.outline.flags, *size_flags, *quality.flags)))


def _main_order(findings: PhotoFindings) -> tuple[float, str, str]:
    photo, card = findings.view.photo, findings.view.card
    if findings.is_base:
        return 2.0, photo.name, photo.sha256
    if isinstance(card, NoCard):
        return 1.0, photo.name, photo.sha256
    x_mm, y_mm, z_mm = card.camera_position_mm
    return -z_mm / math.hypot(x_mm, y_mm, z_mm), photo.name, photo.sha256


def _nothing_examined(faults: Sequence[tuple[str, ActionableError]]) -> ActionableError:
    if len(faults) == 1:
        return faults[0][1]
    listed = '\n'.join(f"- {err}" for _, err in faults)
    return PhotoSetUnusable(f"None of the {len(faults)} photos could be examined:\n{listed}", "Mend one of them first.")
