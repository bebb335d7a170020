"""Parts of the page of a comparison, as HTML. All that comes from files is escaped."""

from collections.abc import Sequence
from html import escape

from calib.arrays import FloatArray, RgbImage
from grader.compare.change import ChangeName
from grader.comparison import ChangeFacts, Comparison, SideFacts
from grader.comparison_words import CHANGE_MEANINGS, CHANGE_WORDS, SIDE_WORDS, SIDES
from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.report.compare_constants import CHANGE_COLOURS
from grader.report.compare_details import DetailPair
from grader.report.compare_signs import OPEN_CHANGES, sign_outline
from grader.report.compare_viewer import CloseUp, Viewer, data_uri
from grader.report.compare_wording import (
    DETAILS_NOTE,
    NOT_LISTED,
    NOTHING_LISTED,
    change_details,
    change_title,
    detail_line,
    details_heading,
    ground_words,
)

_ANSWERS = {
    'was seen': "Yes, and it was there",
    'would have been seen': "Yes, and it was not there",
    'could not be seen': "No",
    'open': "Cannot be told",
}


def summary_part(comparison: Comparison) -> str:
    """Return the sentences."""
    grounds = ''.join(
        f"<li>{escape(one.words)} <span class=\"note\">({ground_words(one.log_odds)})</span></li>"
        for one in comparison.same_piece.grounds
    )
    sentences = ''.join(f"<li>{escape(words)}</li>" for words in comparison.summary)
    flags = ''.join(f"<li>{escape(flag.text)}</li>" for flag in comparison.flags)
    return (
        f"<section aria-labelledby=\"h-short\"><h2 id=\"h-short\">In short</h2><ul>{sentences}</ul>"
        + (f"<p>Please note:</p><ul>{flags}</ul>" if flags else "")
        + (
            f"<h2>Is it the same piece?</h2><p>{escape(comparison.same_piece.words)}</p><ul>{grounds}</ul>"
            if grounds
            else ""
        )
        + "</section>"
    )


def viewer_part(viewer: Viewer, comparison: Comparison) -> str:
    """Return the two photos over each other, with slider and blinking; side by side on paper and without script."""
    names = [
        escape(side.photos[number].photo.name)
        for side, number in zip((comparison.before, comparison.after), viewer.pair, strict=True)
    ]
    height, width = viewer.after.shape[:2]
    lightened = "" if abs(viewer.gain - 1) < 0.05 else f" Its light was multiplied by {viewer.gain:.1f}, to match."
    lines = ''.join(
        _svg_line(one.line, one.shown.change, one.shown.number, one.shown.is_possible) for one in viewer.lines
    )
    return f"""<section aria-labelledby="h-both"><h2 id="h-both">Both photos in one place</h2>
<figure id="viewer">
<div class="controls" role="group" aria-label="What the picture shows">
<button type="button" id="b-earlier" aria-pressed="false">Earlier</button>
<button type="button" id="b-later" aria-pressed="false">Later</button>
<button type="button" id="b-blink" aria-pressed="false">Blink</button>
<label>Slide <input type="range" id="share" min="0" max="100" value="50"
 aria-label="Share of the earlier photo, in percent"></label>
<label>Enlarge <input type="range" id="zoom" min="1" max="4" step="0.5" value="1"></label>
<label><input type="checkbox" id="marks" checked> Show the numbers</label>
<span id="told" aria-live="polite"></span>
</div>
<div class="window" tabindex="0" role="group" aria-label="Picture; scroll it with the arrow keys when it is enlarged">
<div class="stack" id="stack">
<img id="later" src="{data_uri(viewer.after)}" width="{width}" height="{height}"
 alt="Later photo {names[1]}: the piece by itself, with 12 o'clock on top">
<img id="earlier" src="{data_uri(viewer.before)}" width="{width}" height="{height}"
 alt="Earlier photo {names[0]}: the piece by itself, drawn as if it stood as in the later photo">
<svg id="lines" viewBox="0 0 {width} {height}" aria-hidden="true">{lines}</svg>
</div></div>
<figcaption>Earlier: {names[0]}. Later: {names[1]}. The earlier photo is drawn over the later one along the dome, so
that what lies on the glass stays in place; the design below the glass moves a little with the view.{lightened}
Without script and on paper both stand side by side.</figcaption>
</figure></section>"""


def details_part(details: Sequence[DetailPair], comparison: Comparison) -> str:
    """Return pairs of details that show why it is the same piece, or why not."""
    if not details:
        return ""
    pairs = ''.join(
        f"<figure class=\"pair\"><div class=\"two\">{_image(one.before, f'Detail {one.letter} in the earlier photo')}"
        f"{_image(one.after, f'Detail {one.letter} in the later photo')}</div>"
        f"<figcaption>{escape(detail_line(one.letter, one.is_alike, one.likeness))}</figcaption></figure>"
        for one in details
    )
    heading = escape(details_heading(comparison.same_piece.verdict))
    note = escape(DETAILS_NOTE.partition(". ")[0])
    return f"<section><h2>{heading}</h2><p class=\"note\">{note}.</p><div class=\"pairs\">{pairs}</div></section>"


def changes_part(close_ups: Sequence[CloseUp], comparison: Comparison) -> str:
    """Return each change with its place as both sides show it."""
    head = "<section aria-labelledby=\"h-changes\"><h2 id=\"h-changes\">Changes</h2>"
    if comparison.same_piece.verdict == 'another piece':
        return f"{head}<p>{escape(NOT_LISTED)}</p></section>"
    if not close_ups:
        return f"{head}<p>{escape(NOTHING_LISTED)}</p></section>"
    changes = dict.fromkeys(one.facts.change for one in close_ups)
    signs = ''.join(
        f"<li>{_svg_sign(change, '')}{escape(CHANGE_WORDS[change])}: {escape(CHANGE_MEANINGS[change])}</li>"
        for change in changes
    )
    articles = ''.join(_article(one) for one in close_ups)
    note = "Left the earlier photo, right the later one, drawn alike. A dashed sign: less likely than not."
    signs = f"<ul class=\"signs\">{signs}</ul>"
    return f"{head}<p class=\"note\">{note}</p><div class=\"pairs\">{articles}</div>{signs}</section>"


def could_part(comparison: Comparison) -> str:
    """Return the table: could each mark of the later side have been seen before?"""
    rows = [one for one in comparison.changes if one.earlier is not None and one.is_reported]
    if not rows:
        return ""
    body = ''.join(_could_row(one) for one in rows)
    return f"""<section aria-labelledby="h-could"><h2 id="h-could">Could it have been seen in the earlier photos?</h2>
<p class="note">"No" means that nothing is known; it never means that the glass was clean there.</p>
<div class="scroll"><table><thead><tr><th scope="col">No.</th><th scope="col">Mark</th><th scope="col">Where</th>
<th scope="col">Could be seen then?</th><th scope="col">Why</th></tr></thead>
<tbody>{body}</tbody></table></div></section>"""


def sides_part(comparison: Comparison) -> str:
    """Return what each side is made of."""
    rows = ''.join(
        _photo_rows(name, side) for name, side in (("earlier", comparison.before), ("later", comparison.after))
    )
    return f"""<section aria-labelledby="h-sides"><h2 id="h-sides">The photos</h2>
<div class="scroll"><table><thead><tr><th scope="col">Side</th><th scope="col">Photo</th>
<th scope="col">Largest width</th>
<th scope="col">Smallest marks that show</th><th scope="col">File (SHA-256)</th></tr></thead>
<tbody>{rows}</tbody></table></div>
</section>"""


def _photo_rows(name: str, side: SideFacts) -> str:
    width = side.diameter_max_mm.text if side.diameter_max_mm is not None else side.scale.words
    told = f"{name}, from {side.record_name}" if side.record_name else name
    rows = [
        f"<tr><td>{escape(told)}</td><td>{escape(one.photo.name)}</td><td>{escape(width)}</td>"
        f"<td>{escape(one.smallest_words)}</td><td><code>{escape(one.photo.sha256)}</code></td></tr>"
        for one in side.photos
    ]
    rows += [
        f"<tr><td>{escape(told)}</td><td>{escape(one.name)}</td>"
        f"<td colspan=\"3\">left out: {escape(one.reason)}</td></tr>"
        for one in side.left_out
    ]
    rows += [
        f"<tr><td>{escape(told)}</td><td>{escape(one.name)}</td>"
        f"<td colspan=\"3\">not examined: {escape(one.problem)} {escape(one.remedy)}</td></tr>"
        for one in side.faults
    ]
    return ''.join(rows)


def _could_row(one: ChangeFacts) -> str:
    look = one.earlier
    if look is None:
        raise ValueError('a mark of the earlier side has no row')
    kind = KIND_WORDS[MarkKind(one.kind)]
    return (
        f"<tr><td><a href=\"#change-{one.number}\">{one.number}</a></td>"
        f"<td>{escape(kind)}, {escape(one.size_words)}</td>"
        f"<td>{escape(one.place_words)}</td><td>{_ANSWERS[look.verdict]}</td><td>{escape(look.words)}</td></tr>"
    )


def _article(one: CloseUp) -> str:
    facts = one.facts
    kind = KIND_WORDS[MarkKind(facts.kind)]
    pictures = ''.join(
        f"<div class=\"none\">Not in view in the {SIDE_WORDS[side]} photo</div>"
        if picture is None
        else _image(picture, f'Place of number {facts.number}, a {kind}, in the {SIDE_WORDS[side]} photo {name}')
        for side, picture, name in zip(SIDES, (one.before, one.after), (one.before_photo, one.after_photo), strict=True)
    )
    sign = _svg_sign(facts.change, str(facts.number), is_possible=not facts.is_reported)
    return (
        f"<article class=\"pair\" id=\"change-{facts.number}\"><div class=\"two\">{pictures}</div>"
        f"<h3>{sign}{escape(change_title(facts))}</h3><p>{escape(change_details(facts))}</p>"
        f"<p class=\"note\">{percent_words(facts.mark_confidence)} sure that there is a mark at all.</p></article>"
    )


def _image(picture: RgbImage, words: str) -> str:
    return f"<img src=\"{data_uri(picture)}\" alt=\"{escape(words)}\">"


def _svg_line(line: FloatArray, change: ChangeName, number: int, is_possible: bool) -> str:
    points = [(float(x), float(y)) for x, y in line]
    path = ' '.join(f'{x:.1f},{y:.1f}' for x, y in points)
    x, y = max(points, key=lambda point: point[0] - point[1])
    dash = ' stroke-dasharray="8 6"' if is_possible or change in OPEN_CHANGES else ''
    return (
        f'<polygon points="{path}" fill="none" stroke="#181a1e" stroke-width="5"/>'
        f'<polygon points="{path}" fill="none" stroke="{_hex(change)}" stroke-width="2.5"{dash}/>'
        f'<text x="{x + 4:.1f}" y="{y - 4:.1f}" font-size="22" font-weight="700" fill="#181a1e" stroke="#fafaf8" '
        f'stroke-width="4" paint-order="stroke">{number}</text>'
    )


def _svg_sign(change: ChangeName, number: str, *, is_possible: bool = False) -> str:
    points = ' '.join(f'{x:.2f},{y:.2f}' for x, y in sign_outline(change))
    is_open = is_possible or change in OPEN_CHANGES
    fill, edge = ('#fafaf8', _hex(change)) if is_open else (_hex(change), '#181a1e')
    dash = ' stroke-dasharray="0.4 0.3"' if is_possible else ''
    down = {'not visible then': 0.32, 'not visible now': -0.32, 'grown': 0.15}.get(change, 0.0)
    return (
        f'<svg class="sign" viewBox="-1.9 -1.9 3.8 3.8" aria-hidden="true"><polygon points="{points}" fill="{fill}" '
        f'stroke="{edge}" stroke-width="0.16"{dash}/><text y="{down + 0.38:.2f}" font-size="1.1" text-anchor="middle" '
        f'fill="#181a1e">{number}</text></svg>'
    )


def _hex(change: ChangeName) -> str:
    return '#{:02x}{:02x}{:02x}'.format(*CHANGE_COLOURS[change])
