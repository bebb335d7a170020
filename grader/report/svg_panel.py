"""A panel of a plot as SVG: axis, points, bars of doubt. Numbers are pixels of the picture unless named otherwise."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

_TICK_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
_N_TICKS = 4
_MARKER = 4.5


@dataclass(frozen=True, slots=True)
class Panel:
    """Place of a panel in the picture, and the values at its lower and upper edge."""

    left_px: float
    right_px: float
    top_px: float
    bottom_px: float
    low: float
    high: float

    def y_px(self, value: float) -> float:
        """Height of a value in the picture, from its top."""
        return self.bottom_px - (value - self.low) / (self.high - self.low) * (self.bottom_px - self.top_px)


@dataclass(frozen=True, slots=True)
class Point:
    """A value with its doubt, and where it stands across."""

    x_px: float
    value: float
    low: float
    high: float


def value_range(values: Sequence[float], margin: float) -> tuple[float, float]:
    """Range that holds all values, with a margin; never empty."""
    low, high = min(values), max(values)
    room = max((high - low) * 0.1, margin)
    return low - room, high + room


def frame(panel: Panel, title: str, n_decimals: int | None = None) -> list[str]:
    """Title, base line and ticks of a panel."""
    parts = [text(panel.left_px - 44, panel.top_px - 12, title, bold=True)]
    step = _tick_step(panel.high - panel.low)
    decimals = max(0, -math.floor(math.log10(step)), 1 if step % 1 else 0) if n_decimals is None else n_decimals
    tick = math.ceil(panel.low / step - 1e-9)
    while tick * step <= panel.high + 1e-9 * step:
        y_px = panel.y_px(tick * step)
        parts.append(line(panel.left_px, y_px, panel.right_px, y_px, '#dddddd'))
        parts.append(text(panel.left_px - 10, y_px + 4, f'{tick * step:.{decimals}f}', anchor='end', small=True))
        tick += 1
    return parts


def series(panel: Panel, points: Sequence[Point], colour: str, shape: str) -> list[str]:
    """Points joined by a line, each with a bar over its doubt, drawn in a colour and with a shape of their own."""
    places = [(point.x_px, panel.y_px(point.value)) for point in points]
    path = ' '.join(f'{x:.1f},{y:.1f}' for x, y in places)
    parts = [f'<polyline points="{path}" fill="none" stroke="{colour}" stroke-width="1.5" stroke-opacity="0.6"/>']
    for point, (x, y) in zip(points, places, strict=True):
        low_px, high_px = panel.y_px(point.low), panel.y_px(point.high)
        if low_px - high_px > 1:
            parts.append(line(x, low_px, x, high_px, colour))
            parts += [line(x - 4, end, x + 4, end, colour) for end in (low_px, high_px)]
        parts.append(marker(x, y, colour, shape))
    return parts


def legend_entry(x_px: float, y_px: float, words: str, colour: str, shape: str) -> list[str]:
    """One sign with its words."""
    return [marker(x_px, y_px - 4, colour, shape), text(x_px + 10, y_px, words, small=True)]


def text(
    x_px: float, y_px: float, words: str, *, anchor: str = 'start', small: bool = False, bold: bool = False
) -> str:
    """Text at a place."""
    weight = ' font-weight="bold"' if bold else ''
    size = 12 if small else 14
    return (
        f'<text x="{x_px:.1f}" y="{y_px:.1f}" text-anchor="{anchor}" font-size="{size}"{weight}>{escape(words)}</text>'
    )


def line(x0: float, y0: float, x1: float, y1: float, colour: str) -> str:
    """Straight line between two places."""
    return f'<line x1="{x0:.1f}" y1="{y0:.1f}" x2="{x1:.1f}" y2="{y1:.1f}" stroke="{colour}"/>'


def marker(x: float, y: float, colour: str, shape: str) -> str:
    """Sign of a value at a place."""
    r = _MARKER
    corners = {
        'square': ((-r, -r), (r, -r), (r, r), (-r, r)),
        'triangle': ((0, -r - 1), (r + 1, r), (-r - 1, r)),
        'diamond': ((0, -r - 1.5), (r + 1.5, 0), (0, r + 1.5), (-r - 1.5, 0)),
    }
    if shape not in corners:
        return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r}" fill="{colour}"/>'
    points = ' '.join(f'{x + dx:.1f},{y + dy:.1f}' for dx, dy in corners[shape])
    return f'<polygon points="{points}" fill="{colour}"/>'


def _tick_step(span: float) -> float:
    power = 10.0 ** math.floor(math.log10(span / _N_TICKS))
    return next(step * power for step in _TICK_STEPS if step * power >= span / _N_TICKS * (1 - 1e-9))
