"""From two sides, examined and compared, to the comparison."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from calib.measured import Measured, format_measured
from grader.compare.change import Change
from grader.compare.judgement import PieceJudgement
from grader.compare.piece_scale import PieceScale, scale_by_card, scale_by_piece
from grader.compare.shared_view import SharedDome
from grader.compare.sides import Side, Sides
from grader.compare.stated_size import StatedSize, check_stated_size
from grader.comparison import (
    ComparedPhoto,
    Comparison,
    GroundFacts,
    LeftOut,
    MatchFacts,
    SamePieceFacts,
    ScaleFacts,
    SharedBand,
    SharedView,
    SideFacts,
    StatedSizeFacts,
)
from grader.comparison_changes import MAIN, ChangeSetting, change_facts, ranked
from grader.comparison_words import SIDE_WORDS, same_piece_words, stated_size_words, summary_of
from grader.constants import COVERAGE_FACTOR
from grader.quality.advice import smallest_words
from grader.quality.photo_quality import NoLimits
from grader.record import GradingRecord
from grader.record_build import card_facts, flag_facts, measurement, photo_facts, program_versions
from grader.sets.find_turns import PhotoTurn
from grader.sets.set_photo import SetPhoto


@dataclass(frozen=True, slots=True, eq=False)
class ExaminedSide:
    """One side, examined."""

    photos: tuple[SetPhoto, ...]
    """Photos that take part, the main one first."""
    record: GradingRecord
    """Record of this examination."""
    height_mm: Measured | None
    """Height of the piece by photos from the side; None where there are none."""
    given_as: Literal['photos', 'record']
    """What the user gave."""
    record_name: str
    """File name of the record that was given, else ''."""
    record_made_at: str
    """Time that it states."""
    left_out: tuple[LeftOut, ...]
    """Photos that were examined and take no part."""


@dataclass(frozen=True, slots=True, eq=False)
class Compared:
    """A comparison, and what it was made of."""

    comparison: Comparison
    """The comparison."""
    sides: Sides
    """Photos of both sides."""
    judgement: PieceJudgement
    """Whether they show one piece."""
    changes: tuple[Change, ...]
    """What changed, by number."""
    scales: Mapping[Side, tuple[PieceScale | None, ...]]
    """Scale of each photo."""


def build_comparison(
    before: ExaminedSide,
    after: ExaminedSide,
    judgement: PieceJudgement,
    changes: Sequence[Change],
    shared: SharedDome | None,
    stated: Sequence[StatedSize],
    now: datetime | None,
) -> Compared:
    """Comparison of two sides.

    Parameters
    ----------
    before, after
        The sides, examined.
    judgement
        Whether they show one piece.
    changes
        What changed; none where they do not.
    shared
        How much of the dome both show; None where they do not show one piece.
    stated
        Sizes that the seller states.
    now
        Time to state, or None for a comparison that states none.
    """
    sides = Sides(before.photos, after.photos)
    is_same = judgement.verdict == 'same piece'
    scales: dict[Side, tuple[PieceScale | None, ...]] = {
        'before': scales_of(before, after, is_same=is_same),
        'after': scales_of(after, before, is_same=is_same),
    }
    told = {
        'before': scale_facts(before, after, 'before', is_same),
        'after': scale_facts(after, before, 'after', is_same),
    }
    setting = ChangeSetting(sides, judgement.alignment, scales)
    ordered = ranked(changes)
    facts = tuple(change_facts(number, one, setting) for number, one in enumerate(ordered, start=1))
    same, view = same_piece_facts(judgement, sides), None if shared is None else shared_view(shared)
    checks = tuple(check_stated(one, before, after) for one in stated)
    comparison = Comparison(
        made_at='' if now is None else now.isoformat(),
        versions=program_versions(),
        before=side_facts(before, judgement.alignment.before, scales['before'], told['before']),
        after=side_facts(after, judgement.alignment.after, scales['after'], told['after']),
        same_piece=same,
        changes=facts,
        shared_view=view,
        stated_sizes=checks,
        summary=summary_of(
            same, facts, view, (len(before.photos), len(after.photos)), (told['before'], told['after']), checks
        ),
        flags=flag_facts(_flags(sides, judgement)),
    )
    return Compared(comparison, sides, judgement, ordered, scales)


def scales_of(side: ExaminedSide, other: ExaminedSide, *, is_same: bool) -> tuple[PieceScale | None, ...]:
    """Scale of each photo of a side: by its card, else by the piece's width, as this or the other side measured it."""
    width = width_of(side)
    if width is None and is_same:
        width = width_of(other)
    by_card = [scale_by_card(photo) for photo in side.photos]
    return tuple(
        scale if scale is not None or width is None else scale_by_piece(photo, width)
        for photo, scale in zip(side.photos, by_card, strict=True)
    )


def scale_facts(side: ExaminedSide, other: ExaminedSide, name: Side, is_same: bool) -> ScaleFacts:
    """Where the millimetres of a side come from."""
    other_name = SIDE_WORDS['after' if name == 'before' else 'before']
    if width_of(side) is not None:
        return ScaleFacts(source='card', words="by the card in the photo")
    width = width_of(other)
    if width is None:
        return ScaleFacts(source='none', words="neither side has a photo with the card")
    if not is_same:
        return ScaleFacts(
            source='none', words="it has no photo with the card, and that it is the same piece is not established"
        )
    text = format_measured(width, COVERAGE_FACTOR)
    return ScaleFacts(
        source='the other side',
        words=f"its largest width was measured on the {other_name} side, {text}",
        width_mm=measurement(width),
    )


def width_of(side: ExaminedSide) -> Measured | None:
    """Largest width of the piece as a side's main photo has it; None without a card."""
    return side.photos[MAIN].findings.diameters.max_mm


def same_piece_facts(judgement: PieceJudgement, sides: Sides) -> SamePieceFacts:
    """Whether both sides show one piece, and why."""
    return SamePieceFacts(
        probability=judgement.probability,
        verdict=judgement.verdict,
        design=judgement.design,
        words=same_piece_words(judgement.verdict, judgement.probability, judgement.design),
        grounds=tuple(GroundFacts(name=one.name, words=one.words, log_odds=one.log_odds) for one in judgement.grounds),
        matches=tuple(
            MatchFacts(
                before_photo=sides.before[one.before].name,
                after_photo=sides.after[one.after].name,
                before_px=(float(one.before_px[0]), float(one.before_px[1])),
                after_px=(float(one.after_px[0]), float(one.after_px[1])),
                likeness=one.likeness,
            )
            for one in judgement.matches
        ),
    )


def side_facts(
    side: ExaminedSide, turns: Sequence[PhotoTurn], scales: Sequence[PieceScale | None], scale: ScaleFacts
) -> SideFacts:
    """One side, as the comparison holds it."""
    sizes = side.photos[MAIN].findings.diameters
    return SideFacts(
        given_as=side.given_as,
        record_name=side.record_name,
        record_made_at=side.record_made_at,
        settings=side.record.settings,
        photos=tuple(
            compared_photo(photo, turn, own) for photo, turn, own in zip(side.photos, turns, scales, strict=True)
        ),
        left_out=side.left_out,
        faults=side.record.faults,
        scale=scale,
        diameter_max_mm=None if sizes.max_mm is None else measurement(sizes.max_mm),
        diameter_min_mm=None if sizes.min_mm is None else measurement(sizes.min_mm),
        height_mm=None if side.height_mm is None else measurement(side.height_mm),
        flags=side.record.flags,
    )


def compared_photo(photo: SetPhoto, turn: PhotoTurn, scale: PieceScale | None) -> ComparedPhoto:
    """One photo of a side."""
    findings, smallest = photo.findings, photo.findings.quality.smallest
    per_px = None if scale is None else scale.mm_per_px
    scratch_px = chip_px = None
    if not isinstance(smallest, NoLimits):
        scratch_px, chip_px = smallest.scratch_px, smallest.chip_px
        smallest = replace(smallest, px_per_mm=None if per_px is None else 1 / per_px.value)
    return ComparedPhoto(
        photo=photo_facts(findings.view.photo),
        card=card_facts(findings.view.card),
        is_from_above=photo.is_from_above,
        turn_deg=math.degrees(turn.turn_rad),
        u_turn_deg=math.degrees(turn.u_turn_rad),
        turn_probability=turn.probability,
        turn_basis=turn.basis,
        width_px=findings.diameters.max_px,
        outline_px=tuple((float(x), float(y)) for x, y in photo.surface.contour_px),
        mm_per_px=None if per_px is None else per_px.value,
        u_mm_per_px=None if per_px is None else per_px.u,
        smallest_scratch_px=scratch_px,
        smallest_chip_px=chip_px,
        smallest_scratch_mm=None if scratch_px is None or per_px is None else scratch_px * per_px.value,
        smallest_chip_mm=None if chip_px is None or per_px is None else chip_px * per_px.value,
        smallest_words=smallest_words(smallest),
        verdict=findings.quality.verdict,
    )


def shared_view(shared: SharedDome) -> SharedView:
    """How much of the dome both sides show."""
    return SharedView(
        both_ratio=shared.both_ratio,
        before_ratio=shared.before_ratio,
        after_ratio=shared.after_ratio,
        bands=tuple(SharedBand(band=name, both_ratio=ratio) for name, ratio in shared.bands),
    )


def check_stated(stated: StatedSize, before: ExaminedSide, after: ExaminedSide) -> StatedSizeFacts:
    """A stated size against the measured one: of the later side, or of the earlier where the later has none."""
    by_side: list[tuple[Side, ExaminedSide]] = [('after', after), ('before', before)]
    measured: Measured | None = None
    name: Side | None = None
    for side_name, side in by_side:
        own = width_of(side) if stated.of == 'width' else side.height_mm
        if own is not None:
            measured, name = own, side_name
            break
    check = None if measured is None else check_stated_size(stated, measured)
    return StatedSizeFacts(
        stated=stated.text,
        stated_mm=stated.mm,
        stated_half_step_mm=stated.half_step_mm,
        of=stated.of,
        measured=None if measured is None else measurement(measured),
        measured_side=name,
        verdict='not checked' if check is None else 'agrees' if check.agrees else 'differs',
        words=stated_size_words(stated, measured, name, check),
    )


def _flags(sides: Sides, judgement: PieceJudgement) -> list[str]:
    """Names of the flags that concern the comparison itself."""
    flags = []
    hashes = [{photo.findings.view.photo.sha256 for photo in side} for side in (sides.before, sides.after)]
    if hashes[0] & hashes[1]:
        flags.append('same-photo-on-both-sides')
    turns = (*judgement.alignment.before, *judgement.alignment.after)
    if judgement.verdict != 'another piece' and not all(turn.is_sure for turn in turns):
        flags.append('photo-not-placed')
    return flags
