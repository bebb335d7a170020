"""The photos of one side of a comparison: found, checked and examined."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from calib.measured import Measured
from grader.compare.sides import Side
from grader.comparison import LeftOut
from grader.comparison_build import ExaminedSide
from grader.comparison_words import SIDE_WORDS
from grader.constants import COMPARED_BLUR_RATIO, COMPARED_LEAST_PX
from grader.errors import OutlineNotFound, PhotoSetUnusable, PhotoUnreadable, SetsNotComparable
from grader.findings import PhotoFindings
from grader.pipeline import Examination, examine_photos
from grader.progress import Progress
from grader.record import GradingRecord, PhotoFacts, read_record
from grader.sets.set_photo import see_set_photo
from grader.settings import Settings

BASE_WORDS = "shows the base of the upturned piece"
TOP_WORDS = "does not show the base, as the photos of the other side do"
CLOSE_UP_WORDS = "a close-up: only photos of the whole piece are compared"


@dataclass(frozen=True, slots=True)
class SideGiven:
    """What the user gave for one side."""

    side: Side
    """Which side."""
    paths: tuple[Path, ...]
    """Its photos."""
    settings: Settings
    """How to examine them."""
    record: GradingRecord | None = None
    """The record that named them, where one was given."""
    record_name: str = ''
    """Its file name."""

    @property
    def given_as(self) -> Literal['photos', 'record']:
        """What was given."""
        return 'photos' if self.record is None else 'record'


@dataclass(frozen=True, slots=True, eq=False)
class SideExamination:
    """One side, its photos examined, before it is known which of them can be compared."""

    given: SideGiven
    """What it was made of."""
    examination: Examination
    """What the photos show."""

    @property
    def wholes(self) -> tuple[PhotoFindings, ...]:
        """Photos of the whole piece that are good enough, not of its base."""
        return tuple(one for one in self._whole if not one.is_base)

    @property
    def bases(self) -> tuple[PhotoFindings, ...]:
        """Photos of its base that are good enough."""
        return tuple(one for one in self._whole if one.is_base)

    @property
    def _whole(self) -> list[PhotoFindings]:
        return [one for one in self.examination.findings if not one.close_up_of and not why_hopeless(one)]

    def taking_part(self, kept: Sequence[PhotoFindings]) -> ExaminedSide:
        """The side with the photos that take part, and why the others do not."""
        height = self.examination.record.measurements.height_mm
        record = self.given.record
        names = {one.view.photo.sha256 for one in kept}
        return ExaminedSide(
            photos=tuple(see_set_photo(one) for one in kept),
            record=self.examination.record,
            height_mm=None if height is None else Measured(height.value, tuple(height.components.items())),
            given_as=self.given.given_as,
            record_name=self.given.record_name,
            record_made_at='' if record is None else record.made_at,
            left_out=tuple(
                LeftOut(name=one.view.photo.name, reason=_why_left_out(one))
                for one in self.examination.findings
                if one.view.photo.sha256 not in names
            ),
        )


def side_of_record(side: Side, path: Path, folders: Sequence[Path]) -> SideGiven:
    """Side given as a record: its photos are looked for beside it, in the folder above, and in `folders`.

    Raises
    ------
    RecordUnreadable
        If it is no record.
    PhotoUnreadable
        If photos are not there.
    SetsNotComparable
        If a photo of this name is there, but is not the one that the record was made of.
    """
    record = read_record(path)
    near = (path.resolve().parent, path.resolve().parent.parent, *folders)
    found = tuple(_photo_of(facts, near) for facts in record.photos)
    missing = [facts.name for facts, one in zip(record.photos, found, strict=True) if one is None]
    if missing:
        raise PhotoUnreadable(
            f"{path.name}: of its photos, {', '.join(missing)} cannot be found beside the record or in the folder "
            "above it.",
            "Name the folder that they lie in with --photos.",
        )
    altered = [one.name for one in found if one is not None and not one.is_same]
    if altered:
        raise SetsNotComparable(
            f"{path.name}: {', '.join(altered)} is not the photo that this record was made of; it was altered since, "
            "or is another one of the same name (its sha256 differs).",
            "Give the photo as it was, with --photos for its folder, or compare photos instead of the record.",
        )
    paths = tuple(one.path for one in found if one is not None)
    return SideGiven(side, paths, record.settings, record, path.name)


def examine_side(given: SideGiven, progress: Progress) -> SideExamination:
    """Examine the photos of a side.

    Raises
    ------
    SetsNotComparable
        If none of them shows a piece that could be compared.
    ActionableError
        If its only photo cannot be read, or its card cannot be measured with.
    """
    words = SIDE_WORDS[given.side]
    try:
        examination = examine_photos(given.paths, given.settings, now=None, progress=progress)
    except OutlineNotFound as err:
        raise SetsNotComparable(f"The {words} side shows no piece. {err.problem}", err.remedy) from err
    except PhotoSetUnusable as err:
        raise SetsNotComparable(f"The {words} side has no photo that can be used. {err.problem}", err.remedy) from err
    return SideExamination(given, examination)


def sides_taking_part(before: SideExamination, after: SideExamination) -> tuple[ExaminedSide, ExaminedSide]:
    """Both sides with the photos that can be compared: those of the whole piece, or else those of its base.

    Raises
    ------
    SetsNotComparable
        If they have no such view in common.
    """
    for one in (before, after):
        _check_good_enough(one)
    if before.wholes and after.wholes:
        kept = before.wholes, after.wholes
    elif before.bases and after.bases:
        kept = before.bases, after.bases
    else:
        base, top = ('earlier', 'later') if before.bases else ('later', 'earlier')
        raise SetsNotComparable(
            f"The {base} side shows only the base of the piece, the {top} side does not show it.",
            f"Photograph the piece's {'base' if base == 'earlier' else 'top'} for the later side too, or leave --base "
            "out for a photo that does not show the base.",
        )
    sides = before.taking_part(kept[0]), after.taking_part(kept[1])
    _check_views(*sides)
    return sides


def why_hopeless(findings: PhotoFindings) -> str:
    """Why a photo shows too little to be compared, '' where it does not."""
    width_px, blur_px = findings.diameters.max_px, findings.quality.focus.blur_px
    if width_px < COMPARED_LEAST_PX:
        return f"the piece is only {width_px:.0f} px wide in it, and {COMPARED_LEAST_PX:.0f} px are needed"
    if blur_px is not None and blur_px > COMPARED_BLUR_RATIO * width_px:
        percent = 100 * COMPARED_BLUR_RATIO
        return (
            f"it is so blurred that edges spread over {100 * blur_px / width_px:.1f} % of the piece's width, and "
            f"at most {percent:.1f} % will do"
        )
    return ''


@dataclass(frozen=True, slots=True)
class _FoundPhoto:
    """A file of the name that a record gives."""

    path: Path
    is_same: bool
    """Whether it has the bytes that the record was made of."""

    @property
    def name(self) -> str:
        return self.path.name


def _photo_of(facts: PhotoFacts, folders: Sequence[Path]) -> _FoundPhoto | None:
    """File of a photo: the first with the right bytes, else the first of its name, else None."""
    # A name read from a file is hostile: only a plain file name is looked for.
    if Path(facts.name).name != facts.name or facts.name in ('.', '..'):
        return None
    of_name = [folder / facts.name for folder in folders if (folder / facts.name).is_file()]
    for path in of_name:
        if _has_bytes(path, facts):
            return _FoundPhoto(path, True)
    return _FoundPhoto(of_name[0], False) if of_name else None


def _has_bytes(path: Path, facts: PhotoFacts) -> bool:
    """Whether a file is the photo; its length is compared first."""
    try:
        if path.stat().st_size != facts.n_bytes:
            return False
        return hashlib.sha256(path.read_bytes()).hexdigest() == facts.sha256
    except OSError as err:
        raise PhotoUnreadable(
            f"{path.name}: the file cannot be opened ({err.strerror or err}).",
            "Check that you may read it and that its disk is connected.",
        ) from err


def _why_left_out(findings: PhotoFindings) -> str:
    if findings.close_up_of:
        return CLOSE_UP_WORDS
    return why_hopeless(findings) or (BASE_WORDS if findings.is_base else TOP_WORDS)


def _check_good_enough(one: SideExamination) -> None:
    if one.wholes or one.bases:
        return
    findings = one.examination.findings[0]
    raise SetsNotComparable(
        f"The {SIDE_WORDS[one.given.side]} side shows too little: of {findings.view.photo.name}, "
        f"{why_hopeless(findings) or CLOSE_UP_WORDS}.",
        "Use the photo in its full size as the camera made it; of a listing, open the largest picture that it offers.",
    )


def _check_views(before: ExaminedSide, after: ExaminedSide) -> None:
    """Check that some photo of each side looks at the piece alike: from above, or from the side."""
    views = [{photo.is_from_above for photo in side.photos} for side in (before, after)]
    if views[0] & views[1]:
        return
    above, other = ('earlier', 'later') if True in views[0] else ('later', 'earlier')
    raise SetsNotComparable(
        f"The {above} side shows the piece from above only, the {other} side from the side only.",
        f"Photograph the piece from {'above' if above == 'earlier' else 'the side'} for the later side too, or add "
        "one that you have with --more-before or --more-after.",
    )
