"""Pieces whose grades are frozen; run this file to freeze them anew after a new version of the rules."""

import json
from pathlib import Path

from calib.measured import Measured
from grader.grade.grade import Grade, grade_piece
from grader.grade.rules import load_rules
from grader.marks.mark import MarkKind
from tests.support.marks import make_mark

FROZEN = Path(__file__).with_name('grade_v1.json')
RULES_VERSION = 'v1'

_CHIP_OR_BUBBLE = ((MarkKind.CHIP, 0.6), (MarkKind.BUBBLE, 0.4))
_SCUFFS = [make_mark('scratch', 3.0 + k, 0.1 + 0.01 * k, confidence=0.5 + 0.02 * k) for k in range(20)]

CASES = {
    'no marks': ([], 0.0, True),
    'no marks, half unseen': ([], 0.55, True),
    'one chip': ([make_mark('chip', 2.0, zone='crown')], 0.08, True),
    'one chip, no card': ([make_mark('chip', 2.0, with_card=False)], 0.08, False),
    'chip or bubble': ([make_mark('chip', 3.0, confidence=0.7, odds=_CHIP_OR_BUBBLE, radius_ratio=0.6)], 0.08, True),
    'scuffed': (_SCUFFS, 0.12, True),
    'mixed': (
        [
            make_mark('chip', 3.2, zone='crown', radius_ratio=0.3, clock_h=1.2),
            make_mark('bruise', 2.1, confidence=0.8, zone='shoulder', radius_ratio=0.7, clock_h=5.0),
            make_mark('scratch', 14.0, 0.25, confidence=0.6, zone='shoulder', radius_ratio=0.5, clock_h=11.7),
            make_mark('bubble', 1.5, confidence=0.95, zone='crown', radius_ratio=0.1, clock_h=8.0),
            make_mark('dust', 2.0, 0.05, confidence=0.9, zone='rim', radius_ratio=0.95, clock_h=3.3),
            make_mark('chip', 1.0, confidence=0.3, zone='rim', radius_ratio=0.9, clock_h=9.4),
        ],
        0.1,
        True,
    ),
}  # fmt: skip


def grade_case(name: str) -> Grade:
    """Grade of a case."""
    marks, unseen_ratio, has_card = CASES[name]
    width_mm = Measured(70.0, (('outline', 0.2),)) if has_card else None
    return grade_piece(marks, width_mm, 700.0, unseen_ratio, load_rules(RULES_VERSION))


def facts_of(grade: Grade) -> dict[str, object]:
    """What is frozen of a grade."""
    return {
        'score': round(grade.score, 4),
        'interval': [round(end, 4) for end in grade.interval],
        'headline': grade.headline,
        'reasons': list(grade.reasons),
    }


if __name__ == '__main__':
    frozen = {name: facts_of(grade_case(name)) for name in CASES}
    FROZEN.write_text(json.dumps(frozen, indent=1, sort_keys=True) + '\n', encoding='utf-8')
