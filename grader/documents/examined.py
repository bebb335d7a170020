"""An examination as a report needs it: the record, its hash, and the photos it was made from."""

from collections.abc import Sequence
from dataclasses import dataclass

from calib.arrays import RgbImage
from grader.documents.constants import MIN_TAG_CONFIDENCE
from grader.documents.review_part import ReviewAtHand
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.photos.load import Photo
from grader.record import Findings, GradingRecord, MarkFacts


@dataclass(frozen=True, slots=True, eq=False)
class ExaminedPiece:
    """A record with its photos."""

    record: GradingRecord
    record_sha256: str
    photos: tuple[Photo, ...]
    """In the order of the record's list of photos; each is what its hash says."""
    review: ReviewAtHand | None = None
    """What a person says of the marks; None where nobody did."""

    def __post_init__(self) -> None:
        hashes = [photo.sha256 for photo in self.photos]
        if hashes != [facts.sha256 for facts in self.record.photos]:
            raise ValueError('the photos are not those of the record')

    @property
    def findings(self) -> tuple[Findings, ...]:
        """What each photo shows by itself, the main one first."""
        return self.record.other_findings or (self.record,)

    def rgb_of(self, name: str) -> RgbImage:
        """Pixels of a photo by its name, (H, W, 3)."""
        k = [facts.name for facts in self.record.photos].index(name)
        return self.photos[k].rgb


def listed_marks(marks: Sequence[MarkFacts]) -> tuple[MarkFacts, ...]:
    """Return the marks that are more likely than not."""
    return tuple(mark for mark in marks if mark.confidence >= REPORTED_CONFIDENCE)


def possible_marks(marks: Sequence[MarkFacts]) -> tuple[MarkFacts, ...]:
    """Return the marks that are possible, dust aside; the least likely stand in the record only."""
    return tuple(
        mark for mark in marks if MIN_TAG_CONFIDENCE <= mark.confidence < REPORTED_CONFIDENCE and mark.kind != 'dust'
    )
