"""Whether photos are good enough to be examined: what ``grader check`` does, without looking for marks."""

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from calib.errors import ActionableError
from grader.opencv_pin import pin_opencv
from grader.outline.height import height_knowledge
from grader.outline.surface import fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.progress import Progress
from grader.quality.assess import assess_photo
from grader.quality.photo_quality import PhotoQuality
from grader.quality.wanted_views import wanted_views
from grader.quality_facts import QualityFacts, quality_facts
from grader.record_parts import RecordPart
from grader.settings import Settings


class CheckedPhoto(RecordPart):
    """One photo that was checked: its quality, or why it could not be."""

    photo: str
    quality: QualityFacts | None = None
    problem: str = ''
    """What went wrong, where there is no quality."""
    remedy: str = ''
    """What to do about it."""

    @property
    def is_usable(self) -> bool:
        """Whether an examination of it is worth while."""
        return self.quality is not None and self.quality.verdict != 'take it again'


class CheckedView(RecordPart):
    """One view that a set should hold."""

    view: str
    there: Literal['yes', 'no', 'not told']
    advice: str


class CheckResult(RecordPart):
    """What a check found."""

    photos: tuple[CheckedPhoto, ...]
    views: tuple[CheckedView, ...]
    """Views that a set should hold; empty for a single photo."""

    @property
    def n_usable(self) -> int:
        """Photos that are worth examining."""
        return sum(photo.is_usable for photo in self.photos)


def check_photos(paths: Sequence[Path], settings: Settings, progress: Progress) -> CheckResult:
    """Check photos, by name; one that cannot be examined is listed with its fault.

    Raises
    ------
    ActionableError
        The fault of a single photo.
    """
    pin_opencv()
    checked: list[CheckedPhoto] = []
    found: list[PhotoQuality] = []
    ordered = sorted(set(paths), key=lambda one: (one.name, str(one)))
    progress.start(len(ordered))
    try:
        for path in ordered:
            try:
                quality = check_photo(path, settings)
            except ActionableError as err:
                if len(ordered) == 1:
                    raise
                checked.append(CheckedPhoto(photo=path.name, problem=err.problem, remedy=err.remedy))
            else:
                found.append(quality)
                checked.append(CheckedPhoto(photo=path.name, quality=quality_facts(quality)))
            progress.step(path.name)
    finally:
        progress.finish()
    wanted = wanted_views([(one.placing, one.light) for one in found]) if len(ordered) > 1 else ()
    views = tuple(CheckedView(view=one.name, there=one.there, advice=one.advice) for one in wanted)
    return CheckResult(photos=tuple(checked), views=views)


def check_photo(path: Path, settings: Settings) -> PhotoQuality:
    """Quality of one photo.

    Raises
    ------
    PhotoUnreadable, CardNotFound, CardUnfit, ProfileUnfit, OutlineNotFound
        If it cannot be examined at all.
    """
    view = see_photo(load_photo(path, settings.photos), settings)
    # A rough height does for the tilt of the glass; the exact one takes as long as all the rest.
    surface = fit_surface(view.outline, view.card, height_knowledge(settings.size.height_mm))
    return assess_photo(view, surface)
