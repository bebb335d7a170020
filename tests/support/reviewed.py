"""A record of a round piece with several marks, and acts upon it, for tests of the review."""

import math

import numpy as np

from grader.record import GradingRecord, MarkFacts
from grader.record_build import grade_facts
from grader.review.acts import Act, AddMark, Confirm, Drawing, Redraw, Reject, Relabel
from grader.review.apply import regrade
from grader.review.drawing_ground import ground_of_record
from grader.review.log import appended
from grader.review.mark_of_facts import mark_of_facts
from grader.review.measure_drawing import measure_drawing
from grader.review.review import Entry, Statement
from tests.support.sample_record import SCRATCH, sample_record

CENTRE_PX, RADIUS_PX = (500.0, 400.0), 355.15
"""The piece: 710.3 px are 71.03 mm."""


def at_px(radius_ratio: float, clock_h: float) -> tuple[float, float]:
    """Pixel of a place, seen from straight above with the card upright."""
    turn = clock_h * math.pi / 6
    reach = radius_ratio * RADIUS_PX
    return CENTRE_PX[0] + reach * math.sin(turn), CENTRE_PX[1] - reach * math.cos(turn)


def square_px(radius_ratio: float, clock_h: float, side_px: float = 20.0) -> tuple[tuple[float, float], ...]:
    """Outline of a square mark."""
    (x, y), half = at_px(radius_ratio, clock_h), side_px / 2
    return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)


def found_mark(number: int, kind: str, confidence: float, radius_ratio: float, clock_h: float, **changes) -> MarkFacts:
    fields = {
        **SCRATCH.model_dump(), 'number': number, 'kind': kind, 'confidence': confidence, 'kind_odds': {kind: 1.0},
        'outline_px': square_px(radius_ratio, clock_h), 'centre_px': at_px(radius_ratio, clock_h),
        'clock_h': clock_h, 'radius_ratio': radius_ratio,
    }  # fmt: skip
    return MarkFacts(**{**fields, **changes})


MARKS = (
    found_mark(1, 'scratch', 0.93, 0.5, 4.0, length_mm=12.0, u_length_mm=0.4),
    found_mark(2, 'chip', 0.8, 0.2, 1.0, diameter_mm=2.5, kind_odds={'chip': 0.6, 'bubble': 0.4}),
    found_mark(3, 'bubble', 0.6, 0.6, 9.0, kind_odds={'bubble': 0.7, 'chip': 0.3}),
    found_mark(4, 'dust', 0.55, 0.7, 7.0, kind_odds={'dust': 0.8, 'chip': 0.2}),
    found_mark(5, 'chip', 0.3, 0.3, 11.0),
)


def round_record(**changes) -> GradingRecord:
    """Record whose grade is that of its marks."""
    turn = 2 * np.pi * np.arange(360) / 360
    contour = np.array(CENTRE_PX) + RADIUS_PX * np.column_stack([np.cos(turn), np.sin(turn)])
    fields = {'marks': MARKS, 'outline_px': tuple(map(tuple, contour)), 'unseen_ratio': 0.1, **changes}
    record = sample_record(**fields)
    grade = regrade(record, [mark_of_facts(one, one.confidence) for one in record.marks])
    marks = tuple(
        one.model_copy(update={'cost_points': round(cost, 2)})
        for one, cost in zip(record.marks, grade.mark_costs, strict=True)
    )
    return sample_record(**{**fields, 'marks': marks, 'grade': grade_facts(grade)})


def said(initials: str = 'AB', reason: str = "looked at with a loupe", at: str = '2026-03-10T10:09:00') -> Statement:
    return Statement(initials=initials, reason=reason, at=at, clock='stated')


def log_of(record: GradingRecord, *acts: Act) -> tuple[Entry, ...]:
    """Log in which these acts follow one another; drawings are measured by the record alone."""
    entries: tuple[Entry, ...] = ()
    for act in acts:
        drawn = None
        if isinstance(act, AddMark | Redraw):
            drawn = measure_drawing(act.drawing, ground_of_record(record, record.photo))
        entries = appended(entries, act, said(), drawn, len(record.marks))
    return entries


def confirm(number: int) -> Confirm:
    return Confirm(mark=number)


def reject(number: int) -> Reject:
    return Reject(mark=number)


def relabel(number: int, kind: str) -> Relabel:
    return Relabel(mark=number, kind=kind)


def redraw(number: int, *where: float) -> Redraw:
    return Redraw(mark=number, drawing=Drawing(shape='outline', points_px=square_px(*where)))


def add(kind: str, *where: float) -> AddMark:
    return AddMark(kind=kind, drawing=Drawing(shape='outline', points_px=square_px(*where)))
