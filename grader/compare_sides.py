"""The path of a comparison, from the photos of two sides to what they tell together."""

import logging
from collections.abc import Sequence
from datetime import datetime

from grader.compare.find_changes import find_changes
from grader.compare.same_piece import judge_same_piece
from grader.compare.shared_view import measure_shared
from grader.compare.sides import Sides
from grader.compare.stated_size import StatedSize
from grader.comparison_build import Compared, build_comparison
from grader.progress import Progress
from grader.side_photos import SideGiven, examine_side, sides_taking_part

logger = logging.getLogger(__name__)


def compare_sides(
    before: SideGiven, after: SideGiven, stated: Sequence[StatedSize], *, now: datetime | None, progress: Progress
) -> Compared:
    """Compare two sides.

    1. Each side's photos are examined by themselves, with their own settings.
    2. Photos that both sides can be compared by are chosen: of the whole piece, or of its base.
    3. Whether both sides show one piece is judged by its design, size, marks and bubbles.
    4. Unless they show two, each mark's place is looked at on both sides.

    Raises
    ------
    SetsNotComparable
        If the sides show nothing in common.
    ActionableError
        If the only photo of a side cannot be examined.
    """
    examined = [examine_side(side, progress) for side in (before, after)]
    earlier, later = sides_taking_part(*examined)
    sides = Sides(earlier.photos, later.photos)
    progress.start(2)
    try:
        progress.begin("looking whether both sides show the same piece")
        judgement = judge_same_piece(sides)
        progress.step("the same piece or not")
        is_one = judgement.verdict != 'another piece'
        progress.begin("looking at the place of each mark on both sides")
        changes = find_changes(sides, judgement.alignment) if is_one else ()
        shared = measure_shared(sides, judgement.alignment) if is_one else None
        progress.step("what changed")
    finally:
        progress.finish()
    logger.info('%s: %s, %d changes', later.photos[0].name, judgement.verdict, len(changes))
    return build_comparison(earlier, later, judgement, changes, shared, stated, now)
