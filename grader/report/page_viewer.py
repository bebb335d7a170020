"""The viewer of a comparison's page, as HTML: two photos over each other, to slide, to blink and to enlarge."""

import math
from collections.abc import Callable
from html import escape

from grader.compare.change import ChangeName
from grader.report.compare_constants import CHANGE_COLOURS
from grader.report.compare_signs import OPEN_CHANGES
from grader.report.page_pictures import PageLine, PageViewer

Source = Callable[[str], str]
"""Where the page finds a picture, by its name."""

_HOUR_OUT_U, _HOUR_SIZE_U = 14.0, 18.0
"""Numerals stand so far outside the circle round the piece, and are so large, in thousandths of the picture's width: in
the middle of the room that the pictures leave there."""

_FIXED = 'vector-effect="non-scaling-stroke"'
"""Lines stay as fine as they are when the picture is enlarged."""


def viewer_part(viewer: PageViewer, source: Source) -> str:
    """Return the two photos over each other; side by side on paper and without script."""
    lightened = "" if abs(viewer.gain - 1) < 0.05 else f" Its light was multiplied by {viewer.gain:.1f}, to match."
    names = escape(viewer.earlier_photo), escape(viewer.later_photo)
    return f"""<section class="cmp" aria-labelledby="h-both"><h2 id="h-both">Both photos in one place</h2>
<figure id="viewer" class="cmp-viewer">
{_controls()}
<div class="cmp-frame">
<div class="cmp-window" id="window" tabindex="0" role="group" aria-label="Picture; scroll it with the arrow keys when
 it is enlarged, enlarge it with the keys plus and minus, see the whole with 0">
<div class="cmp-stack" id="stack">{_pictures(viewer, names, source)}</div></div>
<div class="cmp-edge" id="edge" aria-hidden="true"><span class="cmp-side">Earlier</span><span class="cmp-grip"></span>
<span class="cmp-side">Later</span></div>
</div>
<figcaption>Earlier: {names[0]}. Later: {names[1]}. {_turn_words(viewer)} The earlier photo is drawn over the later one
along the dome, so that what lies on the glass stays in place; the design below the glass moves a little with the
view.{lightened} Without script and on paper both stand side by side.</figcaption>
</figure></section>"""


def svg_colour(change: ChangeName) -> str:
    """Return a change's colour for a drawing of the page."""
    return '#{:02x}{:02x}{:02x}'.format(*CHANGE_COLOURS[change])


def _controls() -> str:
    return """<div class="cmp-controls" role="group" aria-label="What the picture shows">
<div class="cmp-choices">
<button type="button" id="b-earlier" aria-pressed="false">Earlier</button>
<button type="button" id="b-later" aria-pressed="false">Later</button>
<button type="button" id="b-blink">Blink</button>
</div>
<label class="cmp-slide">Slide <input type="range" id="share" min="0" max="100" value="50"
 aria-label="Share of the earlier photo, in percent"></label>
<div class="cmp-choices" role="group" aria-label="Enlarge">
<button type="button" id="b-out">Smaller</button>
<button type="button" id="b-in">Larger</button>
<button type="button" id="b-whole">Whole</button>
</div>
<label><input type="checkbox" id="marks" checked> Show the numbers</label>
<span id="told" class="cmp-told" aria-live="polite"></span>
</div>"""


def _pictures(viewer: PageViewer, names: tuple[str, str], source: Source) -> str:
    side = viewer.side_px
    standing = "with 12 o'clock on top" if viewer.is_from_above else "seen from the side"
    return f"""
<img id="later" src="{source(viewer.later)}" width="{side}" height="{side}"
 alt="Later photo {names[1]}: the piece by itself, {standing}">
<img id="earlier" src="{source(viewer.earlier)}" width="{side}" height="{side}"
 alt="Earlier photo {names[0]}: the piece by itself, drawn as if it stood as in the later photo">
<svg id="lines" viewBox="0 0 {side} {side}" aria-hidden="true">{_hours(viewer)}{_lines(viewer)}</svg>
"""


def _turn_words(viewer: PageViewer) -> str:
    if not viewer.is_from_above:
        return "Both show the piece from the side."
    return "Both are turned to one clock, with the later photo's 12 on top."


def _hours(viewer: PageViewer) -> str:
    """Numerals of the clock round the piece."""
    if not viewer.is_from_above:
        return ''
    middle = (viewer.side_px - 1) / 2
    unit = viewer.side_px / 1000
    reach = viewer.piece_px / 2 + _HOUR_OUT_U * unit
    parts = []
    for hour in range(1, 13):
        turn = hour * math.pi / 6
        x, y = middle + reach * math.sin(turn), middle - reach * math.cos(turn)
        parts.append(
            f'<text x="{x:.1f}" y="{y + _HOUR_SIZE_U * unit / 3:.1f}" font-size="{_HOUR_SIZE_U * unit:.1f}" '
            f'text-anchor="middle" fill="#585c64">{hour}</text>'
        )
    return f'<g class="cmp-hours">{"".join(parts)}</g>'


def _lines(viewer: PageViewer) -> str:
    return ''.join(_svg_line(one) for one in viewer.lines)


def _svg_line(one: PageLine) -> str:
    path = ' '.join(f'{x:.1f},{y:.1f}' for x, y in one.points)
    x, y = max(one.points, key=lambda point: point[0] - point[1])
    dash = ' stroke-dasharray="7 5"' if one.is_possible or one.change in OPEN_CHANGES else ''
    return (
        f'<polygon points="{path}" fill="none" stroke="#181a1e" stroke-width="4" {_FIXED}/>'
        f'<polygon points="{path}" fill="none" stroke="{svg_colour(one.change)}" stroke-width="2" {_FIXED}{dash}/>'
        f'<text x="{x + 4:.1f}" y="{y - 4:.1f}" font-size="1em" font-weight="700" fill="#181a1e" stroke="#fafaf8" '
        f'stroke-width="0.2em" paint-order="stroke">{one.number}</text>'
    )
