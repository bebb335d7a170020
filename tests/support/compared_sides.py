"""Two sides made of the shipped photos of one piece in two lights, with a judgement and changes made by hand."""

from dataclasses import replace
from functools import cache

import numpy as np

from grader.compare.change import Change, OtherLook, PlaceInPhoto
from grader.compare.judgement import DetailMatch, Ground, PieceJudgement
from grader.compare.shared_view import measure_shared
from grader.compare.sides import Alignment, Sides
from grader.comparison_build import Compared, ExaminedSide, build_comparison
from grader.pipeline import Examination, examine_photos
from grader.progress import SilentProgress
from grader.sets.find_turns import PhotoTurn
from grader.sets.places import pixels_of, places_of, turned
from grader.sets.set_photo import SetPhoto, see_set_photo
from grader.settings import Settings
from tests.support.example_photos import demo_photos
from tests.support.marks import make_mark

UNTURNED = PhotoTurn(0.0, 0.0, 1.0, "made by hand")


@cache
def examined(number: int) -> Examination:
    """One of the two shipped photos, examined."""
    return examine_photos([demo_photos()[number]], Settings(), now=None, progress=SilentProgress())


@cache
def set_photo_of(number: int) -> SetPhoto:
    return see_set_photo(examined(number).findings[0])


def without_card(photo: SetPhoto) -> SetPhoto:
    """The same photo, as if its widths were known in px only."""
    diameters = replace(photo.findings.diameters, max_mm=None, min_mm=None)
    return replace(photo, findings=replace(photo.findings, diameters=diameters))


def side_of(number: int, photo: SetPhoto | None = None) -> ExaminedSide:
    return ExaminedSide(
        photos=(photo or set_photo_of(number),), record=examined(number).record, height_mm=None, given_as='photos',
        record_name='', record_made_at='', left_out=(),
    )  # fmt: skip


def judgement(verdict='same piece', probability=0.98, turn=UNTURNED, matches=()) -> PieceJudgement:
    return PieceJudgement(
        probability, verdict, 'rich', (Ground('design', "The design agrees in 40 of 42 places", 6.0),), matches,
        Alignment((turn,), (UNTURNED,)),
    )  # fmt: skip


def place_px(photo: SetPhoto, right: float, down: float, size: float = 0.01) -> np.ndarray:
    """Square round a place of a photo given in widths of the piece from its middle, (4, 2)."""
    contour = photo.surface.contour_px
    width = np.ptp(contour[:, 0])
    corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * size
    return contour.mean(axis=0) + width * (np.array([right, down]) + corners)


def change_at(
    change='new', kind='chip', confidence=0.9, side='after', right=0.2, down=0.1, verdict='would have been seen',
    size_px=12.0, smallest_px=6.0, reasons=(), seen_there=None, size_mm=1.5, grown_words='', with_mm=True,
) -> Change:  # fmt: skip
    """A change whose mark is seen on one side, or on both with `seen_there`."""
    number, other_number = (1, 0) if side == 'after' else (0, 1)
    photo, other = set_photo_of(number), set_photo_of(other_number)
    outline = place_px(photo, right, down)
    there, _ = pixels_of(other.surface, places_of(photo.surface, outline))
    x, y = outline.mean(axis=0)
    mark = make_mark(
        kind, size_mm, 0.1 * size_mm if kind == 'scratch' else None, confidence=0.95, centre_px=(float(x), float(y)),
        outline_px=outline, with_card=with_mm, zone='crown', clock_h=4.0,
    )  # fmt: skip
    best = PlaceInPhoto(side, 0, outline)
    other_side = 'before' if side == 'after' else 'after'
    seen = (best, PlaceInPhoto(other_side, 0, there)) if seen_there else (best,)
    middle = tuple(float(v) for v in there.mean(axis=0))
    look = OtherLook(verdict, 0.9, 0, middle, size_px, smallest_px, tuple(reasons))
    return Change(change, confidence, mark, best, look, seen, grown_words)


def match_at(right: float, down: float, likeness: float) -> DetailMatch:
    """A detail that lies at one place of the glass in both photos."""
    after = place_px(set_photo_of(1), right, down).mean(axis=0)
    there, _ = pixels_of(set_photo_of(0).surface, turned(places_of(set_photo_of(1).surface, after), 0.0))
    return DetailMatch(0, 0, there[0], after, likeness)


@cache
def usual_compared() -> Compared:
    """One of each change."""
    changes = (
        change_at('unchanged', 'bubble', 0.97, right=-0.2, verdict='was seen', seen_there=True),
        change_at('new', 'chip', 0.9),
        change_at('not visible then', 'scratch', 0.8, right=0.1, down=-0.2, verdict='could not be seen', size_px=1.0,
                  smallest_px=3.0, size_mm=1.0),
        change_at('gone', 'dust', 0.7, side='before', right=-0.1, down=0.25),
        change_at('new', 'scratch', 0.3, right=0.0, down=0.3, verdict='open'),
    )  # fmt: skip
    return compared_of(changes, matches=(match_at(0.1, 0.1, 0.93), match_at(-0.1, 0.2, 0.2)))


def compared_of(changes=(), verdict='same piece', matches=(), before=None, after=None, stated=(), turn=UNTURNED):
    """Comparison of the two photos with these changes."""
    earlier, later = before or side_of(0), after or side_of(1)
    judged = judgement(verdict, 0.98 if verdict == 'same piece' else 0.4, turn, matches)
    sides = Sides(earlier.photos, later.photos)
    shared = None if verdict == 'another piece' else measure_shared(sides, judged.alignment)
    return build_comparison(earlier, later, judged, changes, shared, stated, None)
