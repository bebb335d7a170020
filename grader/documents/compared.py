"""A comparison as a report needs it: its record, its hash, the photos of both sides, and what the user adds."""

from dataclasses import dataclass

from calib.arrays import RgbImage
from grader.compare.sides import Side
from grader.comparison import ChangeFacts, ComparedPhoto, Comparison, SideFacts
from grader.documents.constants import MIN_TAG_CONFIDENCE
from grader.photos.load import Photo


@dataclass(frozen=True, slots=True, eq=False)
class ComparedPiece:
    """A comparison with its photos."""

    comparison: Comparison
    comparison_sha256: str
    before: tuple[Photo, ...]
    """Photos of the earlier side, in the comparison's order; each is what its hash says."""
    after: tuple[Photo, ...]
    """Likewise of the later side."""

    def __post_init__(self) -> None:
        for side, photos in ((self.comparison.before, self.before), (self.comparison.after, self.after)):
            if [photo.sha256 for photo in photos] != [one.photo.sha256 for one in side.photos]:
                raise ValueError('the photos are not those of the comparison')

    def side(self, side: Side) -> SideFacts:
        """Facts of a side."""
        return self.comparison.before if side == 'before' else self.comparison.after

    def photo(self, side: Side, name: str) -> tuple[RgbImage, ComparedPhoto]:
        """Pixels of a photo by its name, and what is known of it."""
        facts = self.side(side).photos
        k = [one.photo.name for one in facts].index(name)
        return (self.before if side == 'before' else self.after)[k].rgb, facts[k]


def told_changes(comparison: Comparison) -> tuple[ChangeFacts, ...]:
    """Return the changes that are more likely so than not."""
    return tuple(one for one in comparison.changes if one.is_reported)


def possible_changes(comparison: Comparison) -> tuple[ChangeFacts, ...]:
    """Return those that are possible, dust aside; the least likely stand in the comparison's file only."""
    return tuple(
        one
        for one in comparison.changes
        if not one.is_reported and one.confidence >= MIN_TAG_CONFIDENCE and one.kind != 'dust'
    )
