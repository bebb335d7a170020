"""What ``grader compare`` prints."""

from collections.abc import Sequence
from textwrap import wrap

from grader.comparison import ChangeFacts, Comparison, SideFacts
from grader.comparison_words import SIDE_WORDS, SIDES
from grader.grade.words import percent_words
from grader.report.columns import columns
from grader.report.compare_wording import headline_of

_WIDTH = 96
_LABEL_WIDTH = 12
_LISTED_MOST = 12


def format_comparison(comparison: Comparison) -> str:
    """Short table of a comparison: the outcome, both sides, the marks, and every doubt in words."""
    title = headline_of(comparison)
    lines = [title, '-' * min(len(title), _WIDTH)]
    for words in comparison.summary:
        lines += wrap(words, _WIDTH)
    lines.append('')
    for name, side in zip(SIDES, (comparison.before, comparison.after), strict=True):
        lines += _row(SIDE_WORDS[name].capitalize(), _side_words(side))
    lines += _mark_lines(comparison.changes)
    lines += _notes(comparison)
    return '\n'.join(lines) + '\n'


def _side_words(side: SideFacts) -> str:
    names = ', '.join(one.photo.name for one in side.photos)
    width = side.diameter_max_mm.text if side.diameter_max_mm is not None else None
    if width is None and side.scale.width_mm is not None:
        width = f"{side.scale.width_mm.text} by the other side"
    left_out = f"; left out: {', '.join(one.name for one in side.left_out)}" if side.left_out else ""
    record = f" (from {side.record_name})" if side.record_name else ""
    return f"{names}{record}; largest width {width or 'not known'}{left_out}"


def _mark_lines(changes: Sequence[ChangeFacts]) -> list[str]:
    """The marks that are likelier so than not, each with what the other side could show."""
    reported = [one for one in changes if one.is_reported]
    if not reported:
        return []
    rows = [("No.", "Mark", "Size", "Where", "What", "How sure")]
    rows += [
        (
            str(one.number),
            one.kind,
            one.size_words,
            one.place_words,
            one.change_words,
            percent_words(one.confidence),
        )
        for one in reported[:_LISTED_MOST]
    ]
    more = len(reported) - _LISTED_MOST
    return ['', *columns(rows), *([f"and {more} more in the page and in comparison.json"] if more > 0 else [])]


def _notes(comparison: Comparison) -> list[str]:
    flags = [flag.text for flag in comparison.flags]
    faults = [
        f"Not examined: {fault.problem} {fault.remedy}"
        for side in (comparison.before, comparison.after)
        for fault in side.faults
    ]
    lines = ['', "Please note:"] if flags or faults else []
    for words in (*flags, *faults):
        lines += wrap(words, _WIDTH, initial_indent="- ", subsequent_indent="  ")
    return lines


def _row(label: str, words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent=label.ljust(_LABEL_WIDTH), subsequent_indent=' ' * _LABEL_WIDTH)
