"""History of a piece as a table, with what it says in words."""

from collections.abc import Sequence
from textwrap import wrap

from grader.collection.history import COUNTED_KINDS, History, PastExamination
from grader.grade.words import KIND_WORDS_MANY, percent_words
from grader.marks.mark import MarkKind
from grader.report.columns import columns

_WIDTH = 96
_WIDEST_CELL = 30
_SHOWN_LENGTHS = ("largest width", "height")


def format_history(title: str, history: History, notes: Sequence[str]) -> str:
    """Table of the examinations, one a line, and the sentences under it."""
    lines = [title, '-' * min(len(title), _WIDTH)]
    if not history.examinations:
        return '\n'.join([*lines, "No examination is stored yet."]) + '\n'
    header = ("Examination", "When", "Score", "Condition", *(name.capitalize() + " (mm)" for name in _SHOWN_LENGTHS),
              *(KIND_WORDS_MANY[MarkKind(kind)].capitalize() for kind in COUNTED_KINDS), "Not seen")  # fmt: skip
    rows = [_cells(one) for one in history.examinations]
    lines += columns([header, *rows], _WIDEST_CELL, right=range(6, 11))
    order = "by the times that the records state"
    if not history.is_by_time:
        order = "in which they were stored, since not every record states a time (\"grader examine --when\")"
    lines += ['', f"The order is that {order}." if not history.is_by_time else f"In order {order}.", '']
    for note in notes:
        lines += wrap(note, _WIDTH, initial_indent='- ', subsequent_indent='  ')
    return '\n'.join(lines) + '\n'


def _cells(one: PastExamination) -> tuple[str, ...]:
    lengths = (one.lengths.get(name) for name in _SHOWN_LENGTHS)
    return (
        one.name,
        one.made_at[:16].replace('T', ' ') or "not stated",
        f"{one.score:.0f} ({one.interval[0]:.0f} to {one.interval[1]:.0f})",
        one.condition,
        *("-" if length is None else f"{length.value_mm:.2f} ± {length.expanded_mm:.2f}" for length in lengths),
        *(str(one.n_marks[kind]) for kind in COUNTED_KINDS),
        percent_words(one.unseen_ratio),
    )
