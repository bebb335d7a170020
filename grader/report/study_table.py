"""A study as a short table, with the first of what it says in words; the page has the rest."""

from collections.abc import Sequence
from textwrap import wrap

from grader.report.columns import columns
from grader.study.study import LimitFacts, QuantityStudy, Study
from grader.study.words import again_words, count, limit_words, not_studied_words, number, short

_WIDTH = 96
_HEADER = (
    "",
    "Photos",
    "Two photos differ by less than",
    "95 % interval",
    "Freedom",
    "Own share",
    "Classes",
    "ICC",
)


def format_study(study: Study) -> str:
    """Table of the quantities, and the sentences under it."""
    told = [count(len(study.pieces), "piece"), count(len(study.readings), "photo")]
    if study.setups != ('',):
        told.insert(1, count(len(study.setups), "set-up"))
    title = f"Repeatability of {', '.join(told)}"
    rows = [row for one in study.quantities for row in _rows(one)]
    lines = [title, '-' * min(len(title), _WIDTH), *columns([_HEADER, *rows], right=(1, 4, 5, 6, 7)), '']
    sentences = [limit_words(one, one.repeat, is_other=False) for one in study.quantities]
    sentences += [*again_words(study.marks_again), *(not_studied_words(one) for one in study.not_studied)]
    for sentence in sentences:
        lines += wrap(sentence, _WIDTH, initial_indent='- ', subsequent_indent='  ')
    lines += ['', "Please note:"]
    for sentence in study.doubts:
        lines += wrap(sentence, _WIDTH, initial_indent='- ', subsequent_indent='  ')
    return '\n'.join(lines) + '\n'


def _rows(one: QuantityStudy) -> Sequence[tuple[str, ...]]:
    sds = {part.source: part for part in one.components}
    own = sds.get('gauge', sds['repeat'])
    singles = [icc for icc in one.icc if icc.name in ('ICC(2,1)', 'ICC(1,1)')]
    icc = next((icc for icc in singles if icc.name == 'ICC(2,1)'), singles[0] if singles else None)
    first = (
        one.words.capitalize(),
        str(one.n_photos),
        *_limit_cells(one, one.repeat),
        "-" if 'piece' not in sds else f"{own.percent_study:.0f} %",
        "-" if one.distinct_categories is None else str(one.distinct_categories),
        "-" if icc is None else f"{icc.value:.2f}",
    )
    if one.between_setups is None:
        return [first]
    return [first, ("– by other set-ups", "", *_limit_cells(one, one.between_setups), "", "", "")]


def _limit_cells(one: QuantityStudy, limit: LimitFacts) -> tuple[str, str, str]:
    if limit.limit_low is None or limit.limit_high is None:
        return "no difference seen", "not known", number(limit.degrees_of_freedom)
    interval = f"{short(limit.limit_low)} to {short(limit.limit_high)}"
    return f"{short(limit.limit)} {one.unit}", interval, number(limit.degrees_of_freedom)
