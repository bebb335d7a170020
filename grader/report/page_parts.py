"""Parts of the page of a comparison, as HTML. All that comes from files is escaped."""

from collections.abc import Mapping, Sequence
from html import escape

from grader.compare.change import ChangeName
from grader.comparison import ChangeFacts, Comparison, SideFacts
from grader.comparison_words import CHANGE_MEANINGS, CHANGE_WORDS, SIDE_WORDS, SIDES
from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.report.compare_signs import OPEN_CHANGES, sign_outline
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
from grader.report.page_pictures import PageCloseUp, PageDetail
from grader.report.page_viewer import Source, svg_colour

_ANSWERS = {
    'was seen': "Yes, and it was there",
    'would have been seen': "Yes, and it was not there",
    'could not be seen': "No",
    'open': "Cannot be told",
}

_CLOSE_UPS_NOTE = "Left the earlier photo, right the later one, drawn alike. A dashed sign: less likely than not."
_NO_CLOSE_UPS_NOTE = "The pictures of the changes are not stored with this comparison."
_SCROLL = '<div class="cmp-scroll" tabindex="0" role="group" aria-label="Table; scroll it with the arrow keys">'


def summary_part(comparison: Comparison) -> str:
    """Return the sentences."""
    grounds = ''.join(
        f"<li>{escape(one.words)} <span class=\"note\">({ground_words(one.log_odds)})</span></li>"
        for one in comparison.same_piece.grounds
    )
    sentences = ''.join(f"<li>{escape(words)}</li>" for words in comparison.summary)
    flags = ''.join(f"<li>{escape(flag.text)}</li>" for flag in comparison.flags)
    return (
        f"<section class=\"cmp\" aria-labelledby=\"h-short\"><h2 id=\"h-short\">In short</h2><ul>{sentences}</ul>"
        + (f"<p>Please note:</p><ul>{flags}</ul>" if flags else "")
        + (
            f"<h2>Is it the same piece?</h2><p>{escape(comparison.same_piece.words)}</p><ul>{grounds}</ul>"
            if grounds
            else ""
        )
        + "</section>"
    )


def details_part(details: Sequence[PageDetail], comparison: Comparison, source: Source) -> str:
    """Return pairs of details that show why it is the same piece, or why not."""
    if not details:
        return ""
    pairs = ''.join(
        f"<figure class=\"cmp-pair\"><div class=\"cmp-two\">"
        f"{_image(source(one.earlier), f'Detail {one.letter} in the earlier photo')}"
        f"{_image(source(one.later), f'Detail {one.letter} in the later photo')}</div>"
        f"<figcaption>{escape(detail_line(one.letter, one.is_alike, one.likeness))}</figcaption></figure>"
        for one in details
    )
    heading = escape(details_heading(comparison.same_piece.verdict))
    note = escape(DETAILS_NOTE.partition(". ")[0])
    note = f"<p class=\"note\">{note}.</p>"
    return f"<section class=\"cmp\"><h2>{heading}</h2>{note}<div class=\"cmp-pairs\">{pairs}</div></section>"


def changes_part(
    close_ups: Sequence[PageCloseUp] | None,
    comparison: Comparison,
    source: Source,
    beside: Mapping[int, Sequence[str]] | None = None,
) -> str:
    """Return each change with its place as both sides show it.

    Parameters
    ----------
    close_ups : sequence of PageCloseUp or None
        The changes to show; None where their pictures are not at hand, and all that are likely are told without.
    comparison : Comparison
    source : callable
        Where the page finds a picture, by its name.
    beside : mapping, optional
        What else is to be said of a change, by its number.
    """
    head = "<section class=\"cmp\" aria-labelledby=\"h-changes\"><h2 id=\"h-changes\">Changes</h2>"
    if comparison.same_piece.verdict == 'another piece':
        return f"{head}<p>{escape(NOT_LISTED)}</p></section>"
    shown = _shown(close_ups, comparison)
    if not shown:
        return f"{head}<p>{escape(NOTHING_LISTED)}</p></section>"
    changes = dict.fromkeys(one.change for one, _ in shown)
    signs = ''.join(
        f"<li>{_svg_sign(change, '')}{escape(CHANGE_WORDS[change])}: {escape(CHANGE_MEANINGS[change])}</li>"
        for change in changes
    )
    more = {} if beside is None else beside
    articles = ''.join(_article(one, pictures, source, more.get(one.number, ())) for one, pictures in shown)
    note = _CLOSE_UPS_NOTE if close_ups is not None else _NO_CLOSE_UPS_NOTE
    signs = f"<ul class=\"cmp-signs\">{signs}</ul>"
    return f"{head}<p class=\"note\">{note}</p><div class=\"cmp-pairs\">{articles}</div>{signs}</section>"


def could_part(comparison: Comparison) -> str:
    """Return the table: could each mark of the later side have been seen before?"""
    rows = [one for one in comparison.changes if one.earlier is not None and one.is_reported]
    if not rows:
        return ""
    body = ''.join(_could_row(one) for one in rows)
    return f"""<section class="cmp" aria-labelledby="h-could">
<h2 id="h-could">Could it have been seen in the earlier photos?</h2>
<p class="note">"No" means that nothing is known; it never means that the glass was clean there.</p>
{_SCROLL}<table><thead><tr><th scope="col">No.</th><th scope="col">Mark</th><th scope="col">Where</th>
<th scope="col">Could be seen then?</th><th scope="col">Why</th></tr></thead>
<tbody>{body}</tbody></table></div></section>"""


def sides_part(comparison: Comparison) -> str:
    """Return what each side is made of."""
    rows = ''.join(
        _photo_rows(name, side) for name, side in (("earlier", comparison.before), ("later", comparison.after))
    )
    return f"""<section class="cmp" aria-labelledby="h-sides"><h2 id="h-sides">The photos</h2>
{_SCROLL}<table><thead><tr><th scope="col">Side</th><th scope="col">Photo</th>
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


def _shown(
    close_ups: Sequence[PageCloseUp] | None, comparison: Comparison
) -> list[tuple[ChangeFacts, PageCloseUp | None]]:
    """Changes to tell, each with its pictures where they are at hand."""
    if close_ups is None:
        return [(one, None) for one in comparison.changes if one.is_reported]
    facts = {one.number: one for one in comparison.changes}
    return [(facts[one.number], one) for one in close_ups if one.number in facts]


def _article(facts: ChangeFacts, pictures: PageCloseUp | None, source: Source, beside: Sequence[str]) -> str:
    images = '' if pictures is None else f"<div class=\"cmp-two\">{_two_images(facts, pictures, source)}</div>"
    sign = _svg_sign(facts.change, str(facts.number), is_possible=not facts.is_reported)
    said = ''.join(f"<p class=\"cmp-said\">{escape(words)}</p>" for words in beside)
    return (
        f"<article class=\"cmp-pair\" id=\"change-{facts.number}\">{images}"
        f"<h3>{sign}{escape(change_title(facts))}</h3>{said}<p>{escape(change_details(facts))}</p>"
        f"<p class=\"note\">{percent_words(facts.mark_confidence)} sure that there is a mark at all.</p></article>"
    )


def _two_images(facts: ChangeFacts, pictures: PageCloseUp, source: Source) -> str:
    kind = KIND_WORDS[MarkKind(facts.kind)]
    sides = zip(SIDES, (pictures.earlier, pictures.later), (pictures.earlier_photo, pictures.later_photo), strict=True)
    return ''.join(
        f"<div class=\"cmp-none\">Not in view in the {SIDE_WORDS[side]} photo</div>"
        if name is None
        else _image(source(name), f'Place of number {facts.number}, a {kind}, in the {SIDE_WORDS[side]} photo {photo}')
        for side, name, photo in sides
    )


def _image(source: str, words: str) -> str:
    return f"<img src=\"{source}\" alt=\"{escape(words)}\">"


def _svg_sign(change: ChangeName, number: str, *, is_possible: bool = False) -> str:
    points = ' '.join(f'{x:.2f},{y:.2f}' for x, y in sign_outline(change))
    is_open = is_possible or change in OPEN_CHANGES
    fill, edge = ('#fafaf8', svg_colour(change)) if is_open else (svg_colour(change), '#181a1e')
    dash = ' stroke-dasharray="0.4 0.3"' if is_possible else ''
    down = {'not visible then': 0.32, 'not visible now': -0.32, 'grown': 0.15}.get(change, 0.0)
    return (
        f'<svg class="cmp-sign" viewBox="-1.9 -1.9 3.8 3.8" aria-hidden="true"><polygon points="{points}" '
        f'fill="{fill}" stroke="{edge}" stroke-width="0.16"{dash}/>'
        f'<text y="{down + 0.38:.2f}" font-size="1.1" text-anchor="middle" '
        f'fill="#181a1e">{number}</text></svg>'
    )
