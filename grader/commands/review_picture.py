"""The annotated picture of a photo, drawn again with a review."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from calib.arrays import RgbImage
from grader.commands.review_ground import see_again
from grader.commands.review_store import RecordAtHand
from grader.grade.grade import Grade
from grader.marks.mark import Mark
from grader.marks.unseen import UnseenArea
from grader.opencv_pin import pin_opencv
from grader.record import GradingRecord, UnseenFacts
from grader.report.overlay import draw_overlay
from grader.report.shown import Spoken
from grader.review.apply import regrade
from grader.review.drawing_ground import check_drawable, findings_in, photo_of_drawing
from grader.review.mark_of_facts import mark_of_facts
from grader.review.review import Review, ReviewedMark
from grader.size.diameter import measure_diameters


def reviewed_picture(at_hand: RecordAtHand, review: Review, photo: str, photo_folders: Sequence[Path]) -> RgbImage:
    """Annotated picture of a photo ('' for the main one) with the marks of the review, (H, W, 3) uint8.

    Raises
    ------
    PhotoSetUnusable
        If the photo is not at hand as it was, or cannot be drawn on.
    """
    pin_opencv()
    record, result = at_hand.record, review.result
    name = photo_of_drawing(record, photo)
    check_drawable(record, name)
    seen = see_again(at_hand, name, photo_folders)
    shown = [one for one in result.marks if _outline_in(one, record, name)]
    marks = [_mark_in(one, record, name) for one in shown]
    spoken = [one for one in result.marks if one.by]
    return draw_overlay(
        seen.view,
        marks,
        [_unseen(area) for area in findings_in(record, name).unseen],
        measure_diameters(seen.view, seen.height),
        _grade_with_costs(record, result.marks),
        [one.number for one in shown],
        photo_line=_grade_line(review),
        spoken=Spoken(
            {one.number: f"{one.status} by {one.by}" for one in spoken},
            frozenset(one.number for one in spoken if one.status == 'rejected'),
        ),
    )


def _grade_with_costs(record: GradingRecord, marks: Sequence[ReviewedMark]) -> Grade:
    """The reviewed grade, with the cost of each mark by its number; numbers of undone marks cost nothing."""
    costs = {one.number: one.mark.cost_points for one in marks}
    grade = regrade(record, [mark_of_facts(one.mark, one.mark.confidence) for one in marks])
    return replace(grade, mark_costs=tuple(costs.get(k, 0.0) for k in range(1, max(costs, default=0) + 1)))


def _grade_line(review: Review) -> str:
    found = review.result.found_grade
    if not review.result.is_changed:
        return "Reviewed; the grade is the same by the program's own marks."
    return f"As reviewed. By the program's own marks: {found.headline}, score {found.score:.0f} of 100."


def _outline_in(one: ReviewedMark, record: GradingRecord, name: str) -> bool:
    return record.photo_set is None or any(seen.photo == name for seen in one.mark.seen_in or ())


def _mark_in(one: ReviewedMark, record: GradingRecord, name: str) -> Mark:
    """A mark where one photo shows it: outline and clock as there, sizes as in the photo that shows it best."""
    mark = mark_of_facts(one.mark, one.mark.confidence)
    if record.photo_set is None:
        return mark
    outline_px = np.array(next(seen.outline_px for seen in one.mark.seen_in or () if seen.photo == name))
    turn = next(turn for turn in record.photo_set.turns if turn.photo == name)
    x_px, y_px = outline_px.mean(axis=0)
    clock_h = None if mark.clock_h is None else (mark.clock_h - turn.turn_deg / 30.0) % 12.0 % 12.0
    return replace(mark, outline_px=outline_px, centre_px=(float(x_px), float(y_px)), clock_h=clock_h)


def _unseen(area: UnseenFacts) -> UnseenArea:
    return UnseenArea(area.reason, np.array(area.polygon_px), area.area_ratio, area.area_mm2)
