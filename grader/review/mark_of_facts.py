"""Marks of a record as the grade's rules take them, and back."""

import math
from collections.abc import Mapping

import numpy as np

from calib.measured import Measured
from grader.grade.words import place_words, size_words
from grader.marks.constants import BUBBLE_MAGNIFICATION, U_BUBBLE_MAGNIFICATION
from grader.marks.mark import Mark, MarkKind
from grader.record import MarkFacts, SeenInFacts
from grader.review.acts import Kind
from grader.review.review import DrawnFacts
from grader.sets.layer import judge_layer_alone

BY_PERSON = "the person who looked at it"
"""What the kind of a mark rests on, once she has named it."""

_SIZES = ('length', 'width', 'diameter')


def mark_of_facts(facts: MarkFacts, confidence: float) -> Mark:
    """Mark of a record, with a sureness of its own; of each size the uncertainty is known as a whole only."""
    return Mark(
        kind=MarkKind(facts.kind),
        confidence=confidence,
        kind_odds=tuple((MarkKind(kind), odds) for kind, odds in sorted(facts.kind_odds.items())),
        outline_px=np.array(facts.outline_px, dtype=np.float64).reshape(-1, 2),
        centre_px=facts.centre_px,
        length_px=facts.length_px,
        width_px=facts.width_px,
        diameter_px=facts.diameter_px,
        length_mm=_measured(facts.length_mm, facts.u_length_mm),
        width_mm=_measured(facts.width_mm, facts.u_width_mm),
        diameter_mm=_measured(facts.diameter_mm, facts.u_diameter_mm),
        area_mm2=facts.area_mm2,
        clock_h=facts.clock_h,
        zone=facts.zone,
        facing=facts.facing,
        flags=facts.flags,
        radius_ratio=facts.radius_ratio,
    )


def of_kind(facts: MarkFacts, kind: str) -> MarkFacts:
    """The mark, surely of this kind. The dome enlarges a bubble, so a mark that turns into one shrinks, and back."""
    odds = ((MarkKind(kind), 1.0),)
    layer = judge_layer_alone(odds)
    named = {
        'kind': kind,
        'kind_odds': {kind: 1.0},
        'layer': layer.layer,
        'surface_odds': layer.surface_odds,
        'layer_basis': (BY_PERSON,),
        'depth_mm': None,
        'dust_odds': float(kind == MarkKind.DUST),
        'dust_basis': BY_PERSON,
    }
    return MarkFacts(**{**dict(facts), **_resized(facts, kind), **named})


def with_drawing(facts: MarkFacts, drawn: DrawnFacts, in_set: bool, piece_px: float) -> MarkFacts:
    """The mark with outline, sizes and place as drawn.

    Parameters
    ----------
    facts
        The mark before; only what the drawing does not tell is kept.
    drawn
        The drawing, measured.
    in_set
        Whether the record is one of several photos.
    piece_px
        Largest width of the piece in the photo that was drawn on, px.
    """
    sizes = {name: getattr(drawn, name) for name in _size_fields()}
    ratios = {
        f'{name}_ratio': None if drawn.length_mm is not None else getattr(drawn, f'{name}_px') / piece_px
        for name in _SIZES
    }
    others = tuple(seen for seen in facts.seen_in or () if seen.photo != drawn.photo)
    drawn_facts = {
        'outline_px': drawn.outline_px,
        'centre_px': drawn.centre_px,
        'length_px': drawn.length_px,
        'width_px': drawn.width_px,
        'diameter_px': drawn.diameter_px,
        'area_mm2': None if drawn.diameter_mm is None else math.pi / 4 * drawn.diameter_mm**2,
        'clock_h': drawn.clock_h,
        'zone': drawn.zone,
        'radius_ratio': drawn.radius_ratio,
        'facing': drawn.facing,
        'latitude_deg': None,
        'photo': drawn.photo if in_set else None,
        'seen_in': (SeenInFacts(photo=drawn.photo, outline_px=drawn.outline_px), *others) if in_set else None,
        'flags': (),
    }
    redrawn = MarkFacts(**{**dict(facts), **sizes, **ratios, **drawn_facts})
    if MarkKind(facts.kind) is not MarkKind.BUBBLE:
        return redrawn
    as_seen = redrawn.model_copy(update={'kind': MarkKind.CHIP.value})
    return MarkFacts(**{**dict(redrawn), **_resized(as_seen, MarkKind.BUBBLE)})


def blank_mark(number: int, kind: Kind) -> MarkFacts:
    """A mark of which nothing is known yet but its kind."""
    odds = ((MarkKind(kind), 1.0),)
    layer = judge_layer_alone(odds)
    return MarkFacts(
        number=number, kind=kind, confidence=1.0, kind_odds={kind: 1.0}, outline_px=(), centre_px=(0.0, 0.0),
        length_px=0.0, width_px=0.0, diameter_px=0.0, zone='', layer=layer.layer, surface_odds=layer.surface_odds,
        layer_basis=(BY_PERSON,), dust_odds=float(MarkKind(kind) is MarkKind.DUST), dust_basis=BY_PERSON,
        cost_points=0.0, size_words='', place_words='', confidence_words='', flags=(),
    )  # fmt: skip


def worded(
    facts: MarkFacts, confidence: float, confidence_words: str, cost_points: float, piece_px: float
) -> MarkFacts:
    """The mark with its sureness, its cost, and its words made anew."""
    mark = mark_of_facts(facts, confidence)
    words = {
        'confidence': confidence,
        'confidence_words': confidence_words,
        'cost_points': cost_points,
        'size_words': size_words(mark, piece_px),
        'place_words': place_words(mark),
    }
    return MarkFacts(**{**dict(facts), **words})


def _resized(facts: MarkFacts, kind: str) -> Mapping[str, float]:
    """Sizes in mm when a mark turns out to be of another kind, by field; empty where they stay."""
    was, becomes = MarkKind(facts.kind) is MarkKind.BUBBLE, MarkKind(kind) is MarkKind.BUBBLE
    if was == becomes or facts.length_mm is None:
        return {}
    factor = 1.0 / BUBBLE_MAGNIFICATION if becomes else BUBBLE_MAGNIFICATION
    sizes: dict[str, float] = {}
    for name in _SIZES:
        value, u = factor * (getattr(facts, f'{name}_mm') or 0.0), factor * (getattr(facts, f'u_{name}_mm') or 0.0)
        sizes[f'{name}_mm'] = value
        sizes[f'u_{name}_mm'] = math.hypot(u, U_BUBBLE_MAGNIFICATION * value) if becomes else u
    return {**sizes, 'area_mm2': factor**2 * (facts.area_mm2 or 0.0)}


def _size_fields() -> tuple[str, ...]:
    return tuple(f'{prefix}{name}_mm' for prefix in ('', 'u_') for name in _SIZES)


def _measured(value: float | None, u: float | None) -> Measured | None:
    return None if value is None else Measured(value, (("as recorded", u or 0.0),))
