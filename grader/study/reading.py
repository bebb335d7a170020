"""What a study takes from the record of a photo."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from grader.errors import PhotoSetUnusable, RecordUnreadable
from grader.grade.rules import CURRENT_RULES, load_rules
from grader.record import Findings, GradingRecord
from grader.study.found_again import is_counted
from grader.study.layout import Shot

# Photos that show something else than the piece from above cannot repeat one that does.
_NO_REPEAT = {'side': "it shows the piece from the side", 'close-up': "it is a close-up"}


@dataclass(frozen=True, slots=True)
class Reading:
    """What one photo by itself tells of a piece."""

    photo: str
    sha256: str
    piece: str
    setup: str
    score: float
    band: str
    n_marks: int
    """Marks that are reported, dust apart."""
    width_mm: float | None
    """Largest width; None where it was not measured in mm."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A photo that takes no part in the study."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Gathered:
    """All that the records of a study tell."""

    readings: tuple[Reading, ...]
    """By piece, set-up, name and digest, whatever the order of the photos."""
    together: tuple[tuple[str, GradingRecord], ...]
    """Pieces whose photos were examined together, with that record."""
    left_out: tuple[LeftOut, ...]
    rules_version: str
    grader_versions: tuple[str, ...]


def gather(records: Sequence[tuple[Shot, GradingRecord]]) -> Gathered:
    """Readings of all records, each photo once.

    A record of several photos gives a reading for each of them that no record of its own tells.

    Raises
    ------
    PhotoSetUnusable
        If a photo stands for two pieces or set-ups, if no photo can be used, or if the grades follow unlike rules.
    """
    rules_version = _only_rules([record for _, record in records])
    single = [(shot, record) for shot, record in records if not record.other_findings]
    several = [(shot, record) for shot, record in records if record.other_findings]
    found: dict[str, Reading] = {}
    left_out: list[LeftOut] = []
    for shot, record in (*single, *several):
        digests = {photo.name: photo.sha256 for photo in record.photos}
        for findings in record.other_findings or (record,):
            _check_names(findings, digests, shot)
            reading = _reading(findings, digests[findings.photo], shot)
            if findings.quality.view in _NO_REPEAT:
                left_out.append(LeftOut(reading.photo, _NO_REPEAT[findings.quality.view]))
            elif reading.sha256 not in found:
                found[reading.sha256] = reading
            else:
                _check_same(found[reading.sha256], reading, is_own=not record.other_findings)
    if not found:
        raise PhotoSetUnusable("No photo of the study can be used.", "Take photos of the pieces from above.")
    if len({one.setup != '' for one in found.values()}) > 1:
        raise PhotoSetUnusable(
            "Some photos belong to a set-up, and others to none.",
            "Put all photos into folders PIECE/SETUP, or all into folders PIECE; in a table fill the column setup or "
            "leave it out.",
        )
    readings = sorted(found.values(), key=lambda one: (one.piece, one.setup, one.photo, one.sha256))
    return Gathered(
        tuple(readings),
        tuple((shot.piece, record) for shot, record in several),
        tuple(dict.fromkeys(left_out)),
        rules_version,
        tuple(sorted({record.versions.grader for _, record in records})),
    )


@cache
def band_numbers(rules_version: str) -> Mapping[str, int]:
    """Number of each word for the condition, the best first."""
    return {band.name: number for number, band in enumerate(load_rules(rules_version).bands)}


def _reading(findings: Findings, sha256: str, shot: Shot) -> Reading:
    width = findings.measurements.diameter_max_mm
    reported = [mark for mark in findings.marks if is_counted(mark)]
    return Reading(
        photo=findings.photo,
        sha256=sha256,
        piece=shot.piece,
        setup=shot.setup,
        score=findings.grade.score,
        band=findings.grade.band,
        n_marks=len(reported),
        width_mm=None if width is None else width.value,
    )


def check_only_once(photos: Sequence[tuple[str, str, str]]) -> None:
    """Check that no photo is there twice: a copy of it would feign a good repeat.

    Parameters
    ----------
    photos
        Name, piece and digest of each.

    Raises
    ------
    PhotoSetUnusable
        If one is.
    """
    first: dict[str, tuple[str, str]] = {}
    for name, piece, digest in photos:
        if digest in first:
            raise _twice(first[digest], (name, piece))
        first[digest] = (name, piece)


def _check_names(findings: Findings, digests: Mapping[str, str], shot: Shot) -> None:
    """Check that a record names what it speaks of: records come from outside too."""
    if findings.photo not in digests:
        raise RecordUnreadable(
            f"{shot.path.name}: the record tells what {findings.photo} shows, and does not list that photo.",
            "Give the record as \"grader examine\" or \"grader batch\" wrote it.",
        )
    grade = findings.grade
    if grade.band not in band_numbers(grade.rules_version):
        raise RecordUnreadable(
            f"{shot.path.name}: the record calls the condition \"{grade.band}\", a word that grade rules "
            f"{grade.rules_version} do not have.",
            "Examine the photo again.",
        )


def _check_same(first: Reading, again: Reading, *, is_own: bool) -> None:
    if is_own or first.piece != again.piece:
        raise _twice((first.photo, first.piece), (again.photo, again.piece))


def _twice(first: tuple[str, str], again: tuple[str, str]) -> PhotoSetUnusable:
    if first[1] != again[1]:
        return PhotoSetUnusable(
            f"{again[0]}: the same photo stands for the pieces \"{first[1]}\" and \"{again[1]}\".",
            "Leave it where it belongs.",
        )
    return PhotoSetUnusable(
        f"{again[0]}: the same photo is there twice for the piece \"{first[1]}\" (also as {first[0]}), which would "
        "feign a good repeat.",
        "Leave one of the two out.",
    )


def _only_rules(records: Sequence[GradingRecord]) -> str:
    """Rules that all records follow."""
    versions = sorted({record.grade.rules_version for record in records})
    if len(versions) > 1:
        raise PhotoSetUnusable(
            f"The records were graded by unlike rules: {', '.join(versions)}. Their scores cannot be compared.",
            "Examine the photos again, all with the same grader.",
        )
    return versions[0] if versions else CURRENT_RULES
