"""Texts as paragraphs of a PDF: styles, and markup that changes the typeface where a script needs it."""

import functools
import re
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from grader.documents.constants import (
    ACCENT,
    FAINT_INK,
    HEAD_PT,
    INK,
    LEAD_PT,
    LEADING_RATIO,
    SMALL_PT,
    SUBHEAD_PT,
    TEXT_PT,
    TITLE_PT,
)
from grader.documents.typefaces import BOLD_FACE, BOX, EAST_FACE, TEXT_FACE, TITLE_FACE, runs_of, use_face

_UNIT = re.compile(r'(?<=[0-9]) (?=(?:mm|px|%)(?![a-z]))')
_STYLES: dict[str, tuple[str, float, str, float, float]] = {
    'title': (TITLE_FACE, TITLE_PT, INK, 0, 4),
    'kind': (BOLD_FACE, SMALL_PT, ACCENT, 0, 5),
    'subtitle': (TEXT_FACE, LEAD_PT, FAINT_INK, 0, 8),
    'heading1': (TITLE_FACE, HEAD_PT, INK, 16, 5),
    'heading2': (BOLD_FACE, SUBHEAD_PT, ACCENT, 9, 3),
    'plain': (TEXT_FACE, TEXT_PT, INK, 0, 5),
    'lead': (TEXT_FACE, LEAD_PT, INK, 0, 7),
    'headline': (TITLE_FACE, HEAD_PT, INK, 0, 5),
    'note': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 5),
    'cell': (TEXT_FACE, SMALL_PT, INK, 0, 0),
    'number': (TEXT_FACE, SMALL_PT, INK, 0, 0),
    'sum': (BOLD_FACE, SMALL_PT, INK, 0, 0),
    'sum-number': (BOLD_FACE, SMALL_PT, INK, 0, 0),
    'head-cell': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 0),
    'head-number': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 0),
    'label': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 0),
    'value': (TEXT_FACE, TEXT_PT, INK, 0, 0),
    'card-title': (BOLD_FACE, SMALL_PT, INK, 0, 0),
    'running': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 0),
    'running-right': (TEXT_FACE, SMALL_PT, FAINT_INK, 0, 0),
}
"""Face, size, colour, space before and after, in points."""


def paragraph(words: str, style: str) -> Paragraph:
    """Return a paragraph of plain words."""
    return Paragraph(markup(words, _STYLES[style][0]), style_of(style))


def markup(words: str, face: str) -> str:
    """Return words as markup: signs of other scripts in their face, boxes for those that none holds.

    Numbers stay on one line with their units.
    """
    parts = []
    for run in runs_of(_UNIT.sub('\u00a0', words), face):
        text = BOX * len(run.text) if run.face == 'none' else run.text
        shown = escape(text).replace('\n', '<br/>')
        parts.append(f'<font name="{use_face(EAST_FACE)}">{shown}</font>' if run.face == 'east' else shown)
    return ''.join(parts)


@functools.cache
def style_of(name: str) -> ParagraphStyle:
    """Return a style by its name."""
    face, size, colour, before, after = _STYLES[name]
    return ParagraphStyle(
        name,
        fontName=use_face(face),
        fontSize=size,
        leading=size * LEADING_RATIO if name != 'title' else size * 1.2,
        textColor=HexColor(colour),
        spaceBefore=before,
        spaceAfter=after,
        alignment=TA_RIGHT if name.endswith(('number', 'right')) else 0,
        splitLongWords=1,
        allowWidows=0,
        allowOrphans=0,
    )
