"""History of a piece as a picture: score, sizes and marks over time, in SVG, which any browser shows."""

from collections.abc import Sequence

from grader.collection.history import COUNTED_KINDS, History, PastExamination, time_of
from grader.grade.words import KIND_WORDS_MANY
from grader.marks.mark import MarkKind
from grader.report.svg_panel import Panel, Point, frame, legend_entry, series, text, value_range

_WIDTH_PX, _LEFT_PX, _RIGHT_PX = 800.0, 84.0, 760.0
_TOP_PX, _PANEL_PX, _GAP_PX = 84.0, 130.0, 58.0
_LABEL_ROOM_PX = 84.0
_LENGTHS = ("largest width", "height")
_INK = '#1b4f72'
# Colours that remain apart for colour-blind readers; each has a shape of its own besides.
_KIND_SIGNS = {
    'scratch': ('#0072b2', 'circle'),
    'chip': ('#d55e00', 'square'),
    'bruise': ('#8a5a00', 'triangle'),
    'bubble': ('#009e73', 'diamond'),
}


def draw_history(title: str, history: History) -> str:
    """Text of the SVG picture. The same history gives the same text."""
    done = history.examinations
    places_px = _places(history)
    panels: list[list[str]] = []
    if done:
        panels = [_score_panel(done, places_px, 0)]
        for name in _LENGTHS:
            if any(name in one.lengths for one in done):
                panels.append(_length_panel(name, done, places_px, len(panels)))
        panels.append(_marks_panel(done, places_px, len(panels)))
    bottom_px = _top_of(len(panels)) - _GAP_PX
    axis = [] if not done else _time_axis(history, places_px, bottom_px)
    height_px = bottom_px + 76
    subtitle = "Bars: what the photos leave open (sizes: k = 2)." if done else "No examination is stored yet."
    body = '\n'.join(
        [
            text(40, 34, title, bold=True),
            text(40, 54, subtitle, small=True),
            *(part for panel in panels for part in panel),
            *axis,
        ]
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH_PX:.0f}" height="{height_px:.0f}" '
        f'viewBox="0 0 {_WIDTH_PX:.0f} {height_px:.0f}" font-family="sans-serif" fill="#222222">\n'
        f'<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
    )


def _score_panel(done: Sequence[PastExamination], places_px: Sequence[float], k: int) -> list[str]:
    low, high = value_range([value for one in done for value in (*one.interval, one.score)], 5)
    panel = _panel(k, max(low, 0.0), min(high, 100.0))
    points = [Point(x, one.score, *one.interval) for x, one in zip(places_px, done, strict=True)]
    return [*frame(panel, "Score", 0), *series(panel, points, _INK, 'circle')]


def _length_panel(name: str, done: Sequence[PastExamination], places_px: Sequence[float], k: int) -> list[str]:
    points = []
    for x_px, one in zip(places_px, done, strict=True):
        if name in one.lengths:
            length = one.lengths[name]
            low, high = length.value_mm - length.expanded_mm, length.value_mm + length.expanded_mm
            points.append(Point(x_px, length.value_mm, low, high))
    panel = _panel(k, *value_range([value for point in points for value in (point.low, point.high)], 0.2))
    return [*frame(panel, f"{name.capitalize()} (mm)"), *series(panel, points, _INK, 'circle')]


def _marks_panel(done: Sequence[PastExamination], places_px: Sequence[float], k: int) -> list[str]:
    most = max(max(one.n_marks.values()) for one in done)
    panel = _panel(k, 0.0, max(4.0, most * 1.1))
    parts = frame(panel, "Marks found", 0)
    for number, kind in enumerate(COUNTED_KINDS):
        colour, shape = _KIND_SIGNS[kind]
        counts = [one.n_marks[kind] for one in done]
        points = [Point(x, count, count, count) for x, count in zip(places_px, counts, strict=True)]
        parts += series(panel, points, colour, shape)
        parts += legend_entry(
            _LEFT_PX + 120 + 110 * number, panel.top_px - 12, KIND_WORDS_MANY[MarkKind(kind)], colour, shape
        )
    return parts


def _panel(k: int, low: float, high: float) -> Panel:
    return Panel(_LEFT_PX, _RIGHT_PX, _top_of(k), _top_of(k) + _PANEL_PX, low, high)


def _top_of(k: int) -> float:
    return _TOP_PX + 20 + k * (_PANEL_PX + _GAP_PX)


def _places(history: History) -> list[float]:
    """Where each examination stands across: by its time where all state one, else evenly."""
    done, room_px = history.examinations, 30.0
    left_px, right_px = _LEFT_PX + room_px, _RIGHT_PX - room_px
    shares = [k / max(1, len(done) - 1) for k in range(len(done))]
    times = [time for time in map(time_of, done) if time is not None]
    if history.is_by_time and len(times) > 1 and times[-1] > times[0]:
        shares = [(time - times[0]) / (times[-1] - times[0]) for time in times]
    return [left_px + share * (right_px - left_px) for share in shares]


def _time_axis(history: History, places_px: Sequence[float], bottom_px: float) -> list[str]:
    """Names and days under the lowest panel; those without room are left out."""
    parts, last_px = [], float('-inf')
    for x_px, one in zip(places_px, history.examinations, strict=True):
        parts.append(
            f'<line x1="{x_px:.1f}" y1="{bottom_px:.1f}" x2="{x_px:.1f}" y2="{bottom_px + 6:.1f}" stroke="#222222"/>'
        )
        if x_px - last_px >= _LABEL_ROOM_PX:
            last_px = x_px
            parts.append(text(x_px, bottom_px + 22, one.name[:4], anchor='middle', small=True))
            parts.append(text(x_px, bottom_px + 38, one.made_at[:10] or "no date", anchor='middle', small=True))
    words = "in the order of time" if history.is_by_time else "in the order in which they were stored"
    return [*parts, text(_LEFT_PX - 44, bottom_px + 60, f"Examinations, {words}", small=True)]
