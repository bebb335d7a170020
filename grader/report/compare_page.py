"""The page of a comparison: one file that needs no network, with both photos to slide and to blink."""

import base64
from html import escape
from importlib import resources

from grader.comparison_build import Compared
from grader.report.compare_wording import headline_of
from grader.report.page_parts import (
    changes_part,
    could_part,
    details_part,
    sides_part,
    summary_part,
)
from grader.report.page_pictures import DrawnPictures, draw_pictures
from grader.report.page_viewer import viewer_part

# No address is allowed, so that nothing is fetched and nothing is sent.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"


def comparison_page(compared: Compared, drawn: DrawnPictures | None = None) -> str:
    """Return the page; with its pictures where they are drawn already."""
    comparison = compared.comparison
    drawn = draw_pictures(compared) if drawn is None else drawn
    facts = drawn.facts

    def source(name: str) -> str:
        # Within the text, so that the page needs no other file.
        return f"data:image/jpeg;base64,{base64.b64encode(drawn.jpegs[name]).decode('ascii')}"

    title = escape(headline_of(comparison))
    when = f" Made at {escape(comparison.made_at)}." if comparison.made_at else ""
    parts = [
        summary_part(comparison),
        viewer_part(facts.viewer, source),
        details_part(facts.details, comparison, source),
        changes_part(facts.close_ups, comparison, source),
        could_part(comparison),
        sides_part(comparison),
    ]
    body = '\n'.join(part for part in parts if part)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{_POLICY}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{text_of_part('compare_page.css')}{text_of_part('compare_viewer.css')}</style>
</head>
<body>
<header><h1>{title}</h1></header>
<main>
{body}
</main>
<footer><p>Made by grader {escape(comparison.versions.grader)}.{when} This page holds all that it needs, and sends
nothing. All numbers are in comparison.json.</p></footer>
<script>{text_of_part('compare_viewer.js')}</script>
</body>
</html>
"""


def text_of_part(name: str) -> str:
    """Return the text of a file that is shipped beside this one: style or script of the page."""
    return (resources.files('grader.report') / name).read_text(encoding='utf-8')
