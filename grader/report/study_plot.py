"""Plots of a study in SVG, which any browser shows: values by piece, sources of spread, agreement of two set-ups."""

from collections.abc import Callable, Sequence
from xml.sax.saxutils import quoteattr

from grader.report.svg_panel import Panel, frame, legend_entry, line, marker, text, value_range
from grader.study.constants import MOST_PIECES_IN_PLOT
from grader.study.study import AgreementFacts, QuantityStudy, ReadingFacts, Study
from grader.study.words import name, percent, short, source_words

_WIDTH_PX, _LEFT_PX, _RIGHT_PX, _TOP_PX, _PANEL_PX = 800.0, 84.0, 770.0, 96.0, 260.0
_INK = '#1b4f72'
_BAND = '#cfe0ec'
# Colours that remain apart for colour-blind readers; each has a shape of its own besides.
_SIGNS = (
    ('#0072b2', 'circle'),
    ('#d55e00', 'square'),
    ('#009e73', 'diamond'),
    ('#8a5a00', 'triangle'),
)
_BAR_SOURCES = ('piece', 'repeat', 'setup', 'interaction')
_BAR_PX, _BAR_LEFT_PX = 22.0, 300.0
_LEAST_ROOM = {'score': 1.0, 'width': 0.1, 'marks': 1.0}
_NAME_SIGNS = 14


def value_of(reading: ReadingFacts, quantity: str) -> float | None:
    """Value of a quantity in a reading."""
    return {'score': reading.score, 'width': reading.width_mm, 'marks': float(reading.n_marks)}[quantity]


def study_plots(study: Study) -> dict[str, tuple[str, str]]:
    """All plots: name of the file, what it shows in words, and its text."""
    plots: dict[str, tuple[str, str]] = {}
    for one in study.quantities:
        words = f"{one.words.capitalize()} of each photo, piece by piece"
        plots[f'{one.name}-by-piece.svg'] = (words, draw_by_piece(study, one))
    if study.quantities:
        plots['sources-of-spread.svg'] = ("Where the spread of the values comes from", draw_sources(study.quantities))
    for one in study.quantities:
        for number, pair in enumerate(one.agreements, start=1):
            words = f"{one.words.capitalize()}: {name(pair.first)} less {name(pair.second)}"
            plots[f'{one.name}-agreement-{number}.svg'] = (words, draw_agreement(one, pair))
    return plots


def draw_by_piece(study: Study, one: QuantityStudy) -> str:
    """Value of each photo over its piece; set-ups have signs of their own."""
    pairs = [(reading, value) for reading in study.readings if (value := value_of(reading, one.name)) is not None]
    pieces, setups = sorted({reading.piece for reading, _ in pairs}), sorted({reading.setup for reading, _ in pairs})
    low, high = value_range([value for _, value in pairs], _LEAST_ROOM[one.name])
    panel = _panel(low, high)
    parts = frame(panel, f"{one.words.capitalize()} ({one.unit})")
    column_px = (_RIGHT_PX - _LEFT_PX) / len(pieces)
    for number, piece in enumerate(pieces):
        middle_px = _LEFT_PX + (number + 0.5) * column_px
        if number:
            parts.append(
                line(middle_px - column_px / 2, panel.top_px, middle_px - column_px / 2, panel.bottom_px, '#eeeeee')
            )
        if len(pieces) <= MOST_PIECES_IN_PLOT:
            room = max(int(column_px / 7.5), 3)
            parts.append(text(middle_px, panel.bottom_px + 20, _cut(piece, room), anchor='middle', small=True))
        parts += _column(panel, [(r, v) for r, v in pairs if r.piece == piece], setups, middle_px, column_px)
    title = f"{one.words.capitalize()} of each photo"
    parts += _legend(setups) if setups != [''] else []
    return _picture(title, "Each sign is a photo; a dash is the mean of a piece.", parts, panel.bottom_px + 40)


def draw_sources(quantities: Sequence[QuantityStudy]) -> str:
    """Bars of the share of each source in the variance, quantity by quantity."""
    parts: list[str] = []
    y_px = _TOP_PX
    full_px = _RIGHT_PX - _BAR_LEFT_PX - 60
    for one in quantities:
        parts.append(text(40, y_px, f"{one.words.capitalize()}", bold=True))
        shares = {part.source: part for part in one.components}
        for source in _BAR_SOURCES:
            if source not in shares:
                continue
            y_px += _BAR_PX + 6
            part = shares[source]
            width_px = full_px * part.percent_contribution / 100
            parts.append(text(_BAR_LEFT_PX - 12, y_px - 6, source_words(one, source), anchor='end', small=True))
            colour = _INK if source == 'piece' else '#d55e00'
            parts.append(
                f'<rect x="{_BAR_LEFT_PX:.1f}" y="{y_px - _BAR_PX:.1f}" width="{max(width_px, 1):.1f}" '
                f'height="{_BAR_PX:.1f}" fill="{colour}"/>'
            )
            told = f"{percent(part.percent_contribution)}, {short(part.sd)} {one.unit}"
            parts += _beside_bar(_BAR_LEFT_PX + max(width_px, 1), y_px - 6, told)
        y_px += _BAR_PX + 26
    words = "Share in the variance, and standard deviation. Blue: the pieces' own; orange: grader and photos."
    return _picture("Where the spread comes from", words, parts, y_px)


def draw_agreement(one: QuantityStudy, pair: AgreementFacts) -> str:
    """Plot of Bland and Altman: differences over means, with bias, limits and their intervals."""
    intervals = (pair.lower_limit, pair.bias, pair.upper_limit)
    ends = [end for interval in intervals for end in (interval.low, interval.high)]
    low, high = value_range([*ends, *(point.difference for point in pair.points)], _LEAST_ROOM[one.name])
    panel = _panel(low, high)
    across = _across([point.mean for point in pair.points], _LEAST_ROOM[one.name])
    parts: list[str] = []
    for interval in intervals:
        top_px, bottom_px = panel.y_px(interval.high), panel.y_px(interval.low)
        parts.append(
            f'<rect x="{_LEFT_PX:.1f}" y="{top_px:.1f}" width="{_RIGHT_PX - _LEFT_PX:.1f}" '
            f'height="{max(bottom_px - top_px, 0.5):.1f}" fill="{_BAND}" fill-opacity="0.6"/>'
        )
    parts += frame(panel, f"Difference ({one.unit})")
    for interval, words in zip(intervals, ("lower limit", "bias", "upper limit"), strict=True):
        y_px = panel.y_px(interval.value)
        parts.append(line(_LEFT_PX, y_px, _RIGHT_PX, y_px, _INK))
        parts.append(text(_RIGHT_PX - 4, y_px - 4, f"{words} {interval.value:+.2f}", anchor='end', small=True))
    for point in pair.points:
        parts.append(marker(across(point.mean), panel.y_px(point.difference), '#d55e00', 'circle'))
    means = [point.mean for point in pair.points]
    for value in (min(means), max(means)):
        parts.append(text(across(value), panel.bottom_px + 20, f"{value:.2f}", anchor='middle', small=True))
    middle_px = (_LEFT_PX + _RIGHT_PX) / 2
    parts.append(text(middle_px, panel.bottom_px + 38, f"Mean of both ({one.unit})", anchor='middle', small=True))
    title = f"{one.words.capitalize()}: {name(pair.first)} less {name(pair.second)}"
    words = "Each sign is a piece. Bands: 95 % intervals of bias and limits of agreement."
    return _picture(title, words, parts, panel.bottom_px + 56)


def _column(
    panel: Panel,
    pairs: Sequence[tuple[ReadingFacts, float]],
    setups: Sequence[str],
    middle_px: float,
    column_px: float,
) -> list[str]:
    """Signs of one piece: set-ups beside each other, photos of one a little apart, and the mean."""
    mean_px = panel.y_px(sum(value for _, value in pairs) / len(pairs))
    half_px = 0.4 * column_px
    parts = [line(middle_px - half_px, mean_px, middle_px + half_px, mean_px, '#555555')]
    for number, setup in enumerate(setups):
        mine = [value for reading, value in pairs if reading.setup == setup]
        lane_px = 2 * half_px / len(setups)
        start_px = middle_px - half_px + number * lane_px
        for k, value in enumerate(mine):
            x_px = start_px + lane_px * (k + 1) / (len(mine) + 1)
            parts.append(marker(x_px, panel.y_px(value), *_SIGNS[number % len(_SIGNS)]))
    return parts


def _legend(setups: Sequence[str]) -> list[str]:
    parts: list[str] = []
    for number, setup in enumerate(setups):
        parts += legend_entry(_LEFT_PX + 180 + 130 * (number % 4), _TOP_PX - 12 - 18 * (number // 4),
                              _cut(setup, _NAME_SIGNS), *_SIGNS[number % len(_SIGNS)])  # fmt: skip
    return parts


def _panel(low: float, high: float) -> Panel:
    return Panel(_LEFT_PX, _RIGHT_PX, _TOP_PX, _TOP_PX + _PANEL_PX, low, high)


def _across(values: Sequence[float], margin: float) -> Callable[[float], float]:
    """Place across of a value."""
    low, high = value_range(values, margin)
    return lambda value: _LEFT_PX + (value - low) / (high - low) * (_RIGHT_PX - _LEFT_PX)


def _beside_bar(end_px: float, y_px: float, words: str) -> list[str]:
    """Words behind a bar, or white in it where there is no room."""
    if end_px + 8 + 7 * len(words) < _RIGHT_PX + 20:
        return [text(end_px + 8, y_px, words, small=True)]
    return [f'<g fill="#ffffff">{text(end_px - 8, y_px, words, anchor="end", small=True)}</g>']


def _cut(words: str, n_signs: int) -> str:
    return words if len(words) <= n_signs else words[: n_signs - 1] + "…"


def _picture(title: str, subtitle: str, parts: Sequence[str], height_px: float) -> str:
    body = '\n'.join([text(40, 34, title, bold=True), text(40, 54, subtitle, small=True), *parts])
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH_PX:.0f}" height="{height_px:.0f}" '
        f'viewBox="0 0 {_WIDTH_PX:.0f} {height_px:.0f}" font-family="sans-serif" fill="#222222" role="img" '
        f'aria-label={quoteattr(title)}>\n<rect width="100%" height="100%" fill="#ffffff"/>\n{body}\n</svg>\n'
    )
