"""Acts of a person, measured and noted in the review on the disk: for the command line, and for any page beside it."""

from collections.abc import Callable, Sequence
from pathlib import Path

from grader.commands.review_ground import ground_for
from grader.commands.review_store import RecordAtHand, change_review, review_of
from grader.errors import ReviewGrown
from grader.record_parts import reckoning_with
from grader.review.acts import AddMark, Redraw, Wish
from grader.review.apply import with_entries
from grader.review.drawing_ground import photo_of_drawing
from grader.review.log import appended, check_mark
from grader.review.measure_drawing import measure_drawing
from grader.review.review import DrawnFacts, Review, Statement


def noted(
    at_hand: RecordAtHand,
    wishes: Sequence[Wish],
    statements: Sequence[Statement],
    photo_folders: Sequence[Path],
    tell: Callable[[str], None],
    based_on: int | None = None,
) -> Review:
    """Review on the disk after all of these acts were noted, or none.

    Parameters
    ----------
    at_hand
        The record.
    wishes, statements
        What is said, and by whom, when and why.
    photo_folders
        Folders in which the photos may lie, besides the usual ones.
    tell
        Takes notes for the person, such as that the photo was not at hand.
    based_on
        Number of entries that the person had before her; None where she does not say.

    Raises
    ------
    ReviewGrown
        If the review has another number of entries by now; then nothing is noted.
    ActionableError
        If one of the acts does not fit, or the review cannot be written; then nothing is noted.
    """
    before = review_of(at_hand)
    _check_not_grown(before, based_on)
    with reckoning_with(at_hand.path.name):
        drawings = [_measured(wish, at_hand, before, photo_folders, tell) for wish in wishes]

    def change(review: Review) -> Review:
        _check_not_grown(review, based_on)
        entries = review.entries
        for wish, statement, drawn in zip(wishes, statements, drawings, strict=True):
            entries = appended(entries, wish.act, statement, drawn, len(at_hand.record.marks))
        with reckoning_with(at_hand.path.name):
            return with_entries(review, at_hand.record, entries)

    return change_review(at_hand, change)


def _check_not_grown(review: Review, based_on: int | None) -> None:
    if based_on is not None and len(review.entries) != based_on:
        raise ReviewGrown(
            f"The review has {len(review.entries)} entries by now, and what you saw had {based_on}: it was changed in "
            "another window, or by another program. Nothing was noted.",
            "Look at it as it is now, and say it again.",
        )


def _measured(
    wish: Wish, at_hand: RecordAtHand, review: Review, photo_folders: Sequence[Path], tell: Callable[[str], None]
) -> DrawnFacts | None:
    """Drawing of an act, measured; None where it has none."""
    act, record = wish.act, at_hand.record
    if not isinstance(act, AddMark | Redraw):
        return None
    shown_in = ''
    if isinstance(act, Redraw):
        marks = {one.number: one.mark for one in review.result.marks}
        if act.mark not in marks:
            check_mark(act.mark, len(record.marks), review.entries)
        shown_in = marks[act.mark].photo or ''
    name = photo_of_drawing(record, act.drawing.photo, shown_in)
    ground, why_not = ground_for(at_hand, name, photo_folders)
    if why_not:
        tell(f"Note: measured by the record alone, which is less sure. {why_not.strip()}")
    return measure_drawing(act.drawing, ground)
