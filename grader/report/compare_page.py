"""The page of a comparison: one file that needs no network, with both photos to slide and to blink."""

from html import escape
from importlib import resources

from grader.comparison_build import Compared
from grader.report.compare_constants import CLOSE_UP_PX
from grader.report.compare_details import detail_pairs
from grader.report.compare_viewer import make_close_ups, make_viewer
from grader.report.compare_wording import headline_of
from grader.report.page_parts import (
    changes_part,
    could_part,
    details_part,
    sides_part,
    summary_part,
    viewer_part,
)

# No address is allowed, so that nothing is fetched and nothing is sent.
_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'"


def comparison_page(compared: Compared) -> str:
    """Return the page."""
    comparison = compared.comparison
    viewer = make_viewer(compared)
    close_ups = make_close_ups(compared, viewer)
    title = escape(headline_of(comparison))
    when = f" Made at {escape(comparison.made_at)}." if comparison.made_at else ""
    parts = [
        summary_part(comparison),
        viewer_part(viewer, comparison),
        details_part(detail_pairs(compared, viewer.pair, CLOSE_UP_PX), comparison),
        changes_part(close_ups, comparison),
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
<style>{_text_of('compare_page.css')}</style>
</head>
<body>
<header><h1>{title}</h1></header>
<main>
{body}
</main>
<footer><p>Made by grader {escape(comparison.versions.grader)}.{when} This page holds all that it needs, and sends
nothing. All numbers are in comparison.json.</p></footer>
<script>{_text_of('compare_page.js')}</script>
</body>
</html>
"""


def _text_of(name: str) -> str:
    """Text of a file that is shipped beside this one."""
    return (resources.files('grader.report') / name).read_text(encoding='utf-8')
