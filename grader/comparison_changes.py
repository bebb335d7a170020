"""From changes, as found, to the facts that a comparison holds of them."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from calib.arrays import PointsPx
from grader.compare.change import Change, ChangeName, OtherLook, PlaceInPhoto
from grader.compare.piece_scale import PieceScale, with_sizes
from grader.compare.sides import Alignment, Side, Sides
from grader.comparison import ChangeFacts, LookFacts, SeenFacts
from grader.comparison_words import change_words, look_words
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.grade.words import place_words, size_words
from grader.marks.mark import Mark
from grader.marks.regions import LINE_KINDS
from grader.sets.set_photo import SetPhoto

MAIN = 0
"""Number of a side's main photo."""

_ORDER: dict[ChangeName, int] = {
    'new': 0,
    'grown': 1,
    'not visible then': 2,
    'gone': 3,
    'not visible now': 4,
    'unchanged': 5,
}
"""Changes in the order in which they matter."""


@dataclass(frozen=True, slots=True, eq=False)
class ChangeSetting:
    """What the changes were found in."""

    sides: Sides
    """Photos of both sides."""
    alignment: Alignment
    """How the piece stands in each."""
    scales: Mapping[Side, Sequence[PieceScale | None]]
    """Scale of each photo; None where it has none."""

    def photo(self, place: PlaceInPhoto) -> SetPhoto:
        """The photo that a place is in."""
        return self.side(place.side)[place.photo]

    def side(self, side: Side) -> tuple[SetPhoto, ...]:
        """Photos of a side."""
        return self.sides.before if side == 'before' else self.sides.after


def ranked(changes: Sequence[Change]) -> tuple[Change, ...]:
    """Changes in the order of their numbers: what is likelier than not first, new damage before all else."""
    return tuple(
        sorted(
            changes,
            key=lambda one: (
                one.confidence < REPORTED_CONFIDENCE,
                _ORDER[one.change],
                -round(one.confidence, 4),
                one.best.side,
                one.best.photo,
                one.mark.centre_px,
            ),
        )
    )


def change_facts(number: int, change: Change, setting: ChangeSetting) -> ChangeFacts:
    """One change, with sizes in mm where its best photo has a scale."""
    photo = setting.photo(change.best)
    mark = sized_mark(change, setting)
    shown, is_first_side = shown_place(change), change.best.side == 'before'
    look = look_facts(change.other_look, mark, is_first_side, setting)
    sizes = {
        f'{prefix}{name}_mm': None if size is None else (size.u if prefix else size.value)
        for name, size in (('length', mark.length_mm), ('width', mark.width_mm), ('diameter', mark.diameter_mm))
        for prefix in ('', 'u_')
    }
    return ChangeFacts(
        number=number,
        change=change.change,
        kind=mark.kind.value,
        confidence=change.confidence,
        mark_confidence=mark.confidence,
        side=shown.side,
        photo=setting.photo(shown).name,
        outline_px=_points(shown.outline_px),
        best_photo=photo.name,
        length_px=mark.length_px,
        width_px=mark.width_px,
        diameter_px=mark.diameter_px,
        clock_h=mark.clock_h,
        zone=mark.zone,
        size_words=size_words(mark, photo.findings.diameters.max_px),
        place_words=place_words(mark),
        change_words=change_words(change.change, look.verdict),
        grown_words=change.grown_words,
        earlier=None if is_first_side else look,
        later=look if is_first_side else None,
        seen_in=tuple(
            SeenFacts(side=one.side, photo=setting.photo(one).name, outline_px=_points(one.outline_px))
            for one in change.seen_in
        ),
        flags=mark.flags,
        **sizes,
    )


def shown_place(change: Change) -> PlaceInPhoto:
    """Where a change is shown: in the main later photo if that shows it, else in its best photo."""
    main = [one for one in change.seen_in if one.side == 'after' and one.photo == MAIN]
    return main[0] if main else change.best


def sized_mark(change: Change, setting: ChangeSetting) -> Mark:
    """The mark of a change by the clock of the main later photo, with its sizes in mm where there is a scale."""
    photo, scale = setting.photo(change.best), setting.scales[change.best.side][change.best.photo]
    mark = change.mark
    if mark.length_mm is None and scale is not None:
        mark = with_sizes(mark, photo, scale)
    turns = setting.alignment.before if change.best.side == 'before' else setting.alignment.after
    if mark.clock_h is None:
        return mark
    # The piece was turned against the clock by its turn, so the mark's hour here is that much less.
    hour = (mark.clock_h + turns[change.best.photo].turn_rad * 6 / math.pi) % 12 % 12
    return replace(mark, clock_h=hour)


def look_facts(look: OtherLook, mark: Mark, is_first_side: bool, setting: ChangeSetting) -> LookFacts:
    """What the other side's photos could show, in mm where both its photo and the mark have a scale."""
    side: Side = 'after' if is_first_side else 'before'
    photos = setting.side(side)
    scale = None if look.photo is None else setting.scales[side][look.photo]
    own = mark.width_mm if mark.kind in LINE_KINDS else mark.diameter_mm
    size_mm = smallest_mm = size = None
    unit = 'px'
    if look.size_px is not None and look.smallest_px is not None:
        size = look.size_px, look.smallest_px
        if scale is not None and own is not None and look.size_px > 0:
            # By the mark itself, which shows how the glass leans there.
            size_mm, smallest_mm = own.value, own.value * look.smallest_px / look.size_px
            size, unit = (size_mm, smallest_mm), 'mm'
    return LookFacts(
        verdict=look.verdict,
        probability=look.probability,
        photo=None if look.photo is None else photos[look.photo].name,
        centre_px=look.centre_px,
        size_px=look.size_px,
        smallest_px=look.smallest_px,
        size_mm=size_mm,
        smallest_mm=smallest_mm,
        reasons=look.reasons,
        words=look_words(look.verdict, side, len(photos), kind=mark.kind, size=size, unit=unit, reasons=look.reasons),
    )


def _points(points_px: PointsPx) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points_px)
