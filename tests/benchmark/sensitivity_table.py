"""What a sensitivity run found, as a table, as numbers and as a picture."""

import json
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.record import GradingRecord


@dataclass(frozen=True, slots=True)
class Answer:
    """How the program answered to one changed photo."""

    circumstance: str
    value: str
    usual: GradingRecord
    changed: GradingRecord | None
    """None where the photo could not be examined."""


@dataclass(frozen=True, slots=True)
class Row:
    """All pieces at one value of one circumstance."""

    circumstance: str
    value: str
    n: int
    n_refused: int
    score_mean: float
    score_worst: float
    score_outside: int
    """Pieces of which neither score lies in the range of the other."""
    range_mean: float
    """Mean change of the width of the score's range, points."""
    n_marks_mean: float
    """Mean change of the number of reported marks."""
    width_mean_percent: float
    width_worst_percent: float
    n_width_apart: int
    """Pieces of which the two widths differ by more than both uncertainties (k = 2) together."""

    @staticmethod
    def of(answers: Sequence[Answer]) -> 'Row':
        """Row of the answers at one value."""
        pairs = [(one.usual, one.changed) for one in answers if one.changed is not None]
        scores = [after.grade.score - before.grade.score for before, after in pairs]
        widths = [change for before, after in pairs if (change := _width_change(before, after)) is not None]
        return Row(
            circumstance=answers[0].circumstance,
            value=answers[0].value,
            n=len(answers),
            n_refused=len(answers) - len(pairs),
            score_mean=_mean(scores),
            score_worst=max(scores, key=abs, default=0.0),
            score_outside=sum(_is_outside(before, after) for before, after in pairs),
            range_mean=_mean([_range(after) - _range(before) for before, after in pairs]),
            n_marks_mean=_mean([_n_marks(after) - _n_marks(before) for before, after in pairs]),
            width_mean_percent=_mean([percent for percent, _ in widths]),
            width_worst_percent=max((percent for percent, _ in widths), key=abs, default=0.0),
            n_width_apart=sum(is_apart for _, is_apart in widths),
        )


HEADER = (
    "| changed | to | score: mean, worst | range of the score | marks reported | width: mean, worst | surely apart |\n"
    "|---|---|---|---|---|---|---|"
)


def write_answers(answers: Sequence[Answer], out: Path, n_pieces: int) -> str:
    """Write table, numbers and picture into a folder; return the table."""
    groups: dict[tuple[str, str], list[Answer]] = {}
    for answer in answers:
        groups.setdefault((answer.circumstance, answer.value), []).append(answer)
    rows = [Row.of(group) for group in groups.values()]
    lines = [f"{n_pieces} pieces; changes against the usual photo of each", "", HEADER]
    last = ''
    for row in rows:
        lines.append(_line(row, "" if row.circumstance == last else row.circumstance))
        last = row.circumstance
    text = '\n'.join(lines) + '\n'
    (out / 'sensitivity.md').write_text(text, encoding='utf-8')
    numbers = [{name: getattr(row, name) for name in Row.__slots__} for row in rows]
    (out / 'sensitivity.json').write_text(json.dumps(numbers, indent=1), encoding='utf-8')
    for plot in (SCORE_PLOT, WIDTH_PLOT):
        (out / plot.name).write_text(draw(answers, rows, plot), encoding='utf-8')
    return text


def _line(row: Row, words: str) -> str:
    refused = f"; {row.n_refused} refused" if row.n_refused else ""
    outside = f" ({row.score_outside} outside)" if row.score_outside else ""
    return (
        f"| {words} | {row.value} | {row.score_mean:+.1f}, {row.score_worst:+.1f}{outside}{refused} | "
        f"{row.range_mean:+.1f} | {row.n_marks_mean:+.1f} | {row.width_mean_percent:+.2f} %, "
        f"{row.width_worst_percent:+.2f} % | {row.n_width_apart} of {row.n - row.n_refused} |"
    )


@dataclass(frozen=True, slots=True)
class Plot:
    """What a picture shows of each answer."""

    name: str
    """Of its file."""
    title: str
    span: float
    """Largest change that is drawn; larger ones lie on the edge."""
    change: Callable[[GradingRecord, GradingRecord], float | None]


SCORE_PLOT = Plot(
    'sensitivity-score.svg',
    "Change of the score against the usual photo, points",
    40.0,
    lambda before, after: after.grade.score - before.grade.score,
)
WIDTH_PLOT = Plot(
    'sensitivity-width.svg',
    "Change of the largest width against the usual photo, %; what is more lies on the edge",
    10.0,
    lambda before, after: None if (found := _width_change(before, after)) is None else found[0],
)

_WIDTH_PX, _PANEL_W_PX, _PANEL_H_PX, _PER_ROW = 1000, 235, 150, 4
_INK, _MEAN = '#5b7f95', '#a3415b'


def draw(answers: Sequence[Answer], rows: Sequence[Row], plot: Plot) -> str:
    """Change of each piece (dots) and their mean (line), a panel a circumstance, as SVG."""
    circumstances = list(dict.fromkeys(row.circumstance for row in rows))
    n_lines = -(-len(circumstances) // _PER_ROW)
    height = 60 + n_lines * (_PANEL_H_PX + 70)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH_PX}" height="{height}" viewBox="0 0 {_WIDTH_PX} {height}" '
        f'font-family="sans-serif" font-size="11" fill="#222222"><rect width="100%" height="100%" fill="#ffffff"/>',
        f'<text x="20" y="24" font-size="14" font-weight="bold">{escape(plot.title)}</text>',
        '<text x="20" y="42">Each dot is a piece, the line their mean.</text>',
    ]
    for k, circumstance in enumerate(circumstances):
        left, top = 30 + (k % _PER_ROW) * (_PANEL_W_PX + 8), 70 + (k // _PER_ROW) * (_PANEL_H_PX + 70)
        parts += _panel(circumstance, [one for one in answers if one.circumstance == circumstance], plot, left, top)
    return '\n'.join([*parts, '</svg>']) + '\n'


def _panel(circumstance: str, answers: Sequence[Answer], plot: Plot, left: float, top: float) -> list[str]:
    values = list(dict.fromkeys(one.value for one in answers))
    width = _PANEL_W_PX - 40

    def y_of(points: float) -> float:
        return top + _PANEL_H_PX * (0.5 - max(min(points, plot.span), -plot.span) / (2 * plot.span))

    parts = [f'<text x="{left}" y="{top - 6}" font-weight="bold">{escape(circumstance)}</text>']
    for share in (-1, -0.5, 0, 0.5, 1):
        points = share * plot.span
        y = y_of(points)
        parts.append(f'<line x1="{left + 24}" x2="{left + 24 + width}" y1="{y:.1f}" y2="{y:.1f}" stroke="#c9d2d3"/>')
        parts.append(f'<text x="{left + 20}" y="{y + 4:.1f}" text-anchor="end">{points:g}</text>')
    means = []
    for number, value in enumerate(values):
        x = left + 24 + width * (number + 0.5) / len(values)
        found = [one for one in answers if one.value == value and one.changed is not None]
        told = [plot.change(one.usual, one.changed) for one in found if one.changed is not None]
        changes = [one for one in told if one is not None]
        parts += [f'<circle cx="{x:.1f}" cy="{y_of(c):.1f}" r="3" fill="{_INK}" fill-opacity="0.65"/>' for c in changes]
        parts.append(f'<text x="{x:.1f}" y="{top + _PANEL_H_PX + 16}" text-anchor="middle">{escape(value)}</text>')
        if changes:
            means.append(f'{x:.1f},{y_of(_mean(changes)):.1f}')
    parts.append(f'<polyline points="{" ".join(means)}" fill="none" stroke="{_MEAN}" stroke-width="2"/>')
    return parts


def _width_change(before: GradingRecord, after: GradingRecord) -> tuple[float, bool] | None:
    """Change of the largest width in percent, and whether it is more than both doubts together; None without mm."""
    one, other = before.measurements.diameter_max_mm, after.measurements.diameter_max_mm
    if one is None or other is None:
        return None
    apart = abs(other.value - one.value) > 2 * (one.standard_uncertainty**2 + other.standard_uncertainty**2) ** 0.5
    return 100 * (other.value / one.value - 1), apart


def _is_outside(before: GradingRecord, after: GradingRecord) -> bool:
    one, other = before.grade, after.grade
    return not (
        other.interval[0] <= one.score <= other.interval[1] or one.interval[0] <= other.score <= one.interval[1]
    )


def _range(record: GradingRecord) -> float:
    low, high = record.grade.interval
    return high - low


def _n_marks(record: GradingRecord) -> int:
    return sum(mark.confidence >= REPORTED_CONFIDENCE for mark in record.marks)


def _mean(values: Sequence[float]) -> float:
    return statistics.fmean(values) if values else 0.0
