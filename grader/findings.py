"""What the stages found in one photo, together."""

from dataclasses import dataclass

from grader.grade.grade import Grade
from grader.marks.find_marks import PieceOdds
from grader.marks.mark import Mark
from grader.marks.unseen import UnseenArea
from grader.outline.dome_view import DomeView
from grader.outline.surface import DomeSurface
from grader.quality.photo_quality import PhotoQuality
from grader.size.diameter import Diameters


@dataclass(frozen=True, slots=True, eq=False)
class PhotoFindings:
    """One photo, examined."""

    view: DomeView
    """Photo, card and outline."""
    surface: DomeSurface
    """The glass under the outline."""
    diameters: Diameters
    """Widths of the piece."""
    piece: PieceOdds
    """What the network says of each pixel of the piece."""
    marks: tuple[Mark, ...]
    """Marks, the likeliest first; empty where the glass is clean."""
    unseen: tuple[UnseenArea, ...]
    """Parts of the piece in which marks could not be seen."""
    quality: PhotoQuality
    """What the photo can show at all."""
    grade: Grade
    """The grade of what this photo shows."""
    flags: tuple[str, ...]
    """Names of all flags that were raised on the way."""
    close_up_of: str = ''
    """Name of the photo of the whole piece that this close-up was laid over; '' for a photo of the whole."""
    is_base: bool = False
    """Whether it shows the base of the upturned piece."""

    @property
    def unseen_ratio(self) -> float:
        """Share of the piece, 0 to 1, in which marks could not be seen."""
        return unseen_ratio_of(self.unseen)


def unseen_ratio_of(unseen: tuple[UnseenArea, ...]) -> float:
    """Share of the piece, 0 to 1, that the unseen areas take together; they do not overlap."""
    return min(1.0, sum(area.area_ratio for area in unseen))
