"""Reviews whose results are frozen; run this file to freeze them anew after a new version of the rules."""

import json
from pathlib import Path

from grader.review.acts import Act, AddMark, Drawing, Undo
from grader.review.apply import apply_entries
from grader.review.review import ReviewedRecord
from tests.support.reviewed import add, confirm, log_of, redraw, reject, relabel, round_record

FROZEN = Path(__file__).with_name('review_v1.json')
_LINE = Drawing(shape='line', points_px=((450.0, 350.0), (520.0, 390.0), (560.0, 420.0)), width_mm=0.2)

CASES: dict[str, tuple[Act, ...]] = {
    'all confirmed': tuple(confirm(number) for number in range(1, 6)),
    'all rejected': tuple(reject(number) for number in range(1, 6)),
    'named and drawn anew': (relabel(3, 'bruise'), redraw(2, 0.4, 2.0), relabel(2, 'bubble')),
    'added': (AddMark(kind='scratch', drawing=_LINE), add('chip', 0.8, 5.0), reject(1)),
    'undone': (confirm(1), reject(2), Undo(), add('dust', 0.3, 6.0), Undo(entry=3)),
}


def review_case(name: str) -> ReviewedRecord:
    """Result of a case."""
    record = round_record()
    return apply_entries(record, log_of(record, *CASES[name]))


def facts_of(result: ReviewedRecord) -> dict[str, object]:
    """What is frozen of a result."""
    return {
        'score': result.grade.score,
        'headline': result.grade.headline,
        'changes': list(result.changes),
        'sizes': [one.mark.size_words for one in result.marks],
    }


if __name__ == '__main__':
    frozen = {name: facts_of(review_case(name)) for name in CASES}
    FROZEN.write_text(json.dumps(frozen, indent=1, sort_keys=True, ensure_ascii=False) + '\n', encoding='utf-8')
