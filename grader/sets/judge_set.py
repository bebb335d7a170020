"""Several photos of one piece make one judgement."""

import logging
from collections.abc import Sequence
from dataclasses import dataclass

from grader.findings import PhotoFindings
from grader.grade.grade import Grade, grade_piece
from grader.grade.rules import GradeRules
from grader.marks.constants import LEAST_CONFIDENCE
from grader.sets.close_ups import with_close_ups, with_light_of_wholes
from grader.sets.coverage import Coverage, measure_coverage
from grader.sets.find_turns import PhotoTurn, find_turns
from grader.sets.join import join_marks
from grader.sets.judge_track import SetMark, judge_track
from grader.sets.refine_turns import refine_turns
from grader.sets.set_photo import see_set_photo
from grader.sets.sightings import see_marks

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, eq=False)
class SetFindings:
    """What several photos of one piece show together."""

    marks: tuple[SetMark, ...]
    """Marks of the piece, the surest first."""
    turns: tuple[PhotoTurn, ...]
    """How the piece stands in each photo, the main photo first."""
    coverage: Coverage
    """What of the dome was seen."""
    grade: Grade
    """The grade of the piece."""
    flags: tuple[str, ...]
    """Names of the flags that concern the set."""


def judge_set(findings: Sequence[PhotoFindings], rules: GradeRules, wiped: frozenset[str]) -> SetFindings:
    """Judge a piece from several photos.

    1. The piece's turn about its axis between the photos is found by its design and its marks.
    2. Marks at the same place of the surface, or on rays that meet in the glass, are joined.
    3. The joined marks make the turns finer, and with those marks are joined once more.
    4. Each mark is judged from all photos: sureness, kind, dust, layer.
    5. The piece is graded once.

    Parameters
    ----------
    findings
        What each photo shows by itself, the main photo first; two at least.
    rules : GradeRules
    wiped
        Names of the photos that were taken after wiping, as far as the user says.
    """
    photos = with_light_of_wholes([see_set_photo(one) for one in findings])
    wholes = [one for one in photos if not one.findings.close_up_of and not one.findings.is_base]
    found = find_turns(wholes)
    found = refine_turns(join_marks(see_marks(wholes, found), wholes, found), wholes, found)
    turns = with_close_ups(found, photos)
    tracks = join_marks(see_marks(photos, turns), photos, turns)
    wiped_photos = frozenset(k for k, photo in enumerate(photos) if photo.name in wiped)
    judged = [judge_track(track, photos, turns, wiped_photos) for track in tracks]
    marks = tuple(
        sorted(
            (one for one in judged if one.mark.confidence >= LEAST_CONFIDENCE),
            key=lambda one: (-one.mark.confidence, one.best_photo, one.mark.centre_px),
        )
    )
    coverage = measure_coverage(photos, turns)
    main = findings[0]
    is_stranded = [not turn.is_sure and not one.is_base for turn, one in zip(turns, findings, strict=True)]
    flags = tuple(dict.fromkeys((*main.flags, *(('photo-not-related',) if any(is_stranded) else ()))))
    grade = grade_piece(
        [one.mark for one in marks],
        main.diameters.max_mm,
        main.diameters.max_px,
        coverage.main_unseen_ratio,
        rules,
        flags,
    )
    logger.info('%s: %d marks from %d photos, %s', photos[0].name, len(marks), len(photos), grade.headline)
    return SetFindings(marks, turns, coverage, grade, flags)
