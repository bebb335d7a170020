"""A document as PDF: pages with running lines, the same bytes for the same document."""

from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Spacer

from calib.constants import PAPER_SIZES_MM
from grader.documents.blocks import Block, Document, Heading, Points, Words
from grader.documents.constants import (
    ACCENT,
    FOOT_MM,
    HEAD_MM,
    MARGIN_BOTTOM_MM,
    MARGIN_SIDE_MM,
    MARGIN_TOP_MM,
    RULE,
)
from grader.documents.identity import document_number, short_hash, texts_of
from grader.documents.pdf_blocks import flowables
from grader.documents.pdf_text import paragraph
from grader.documents.typefaces import BOX, TEXT_FACE, codes_of, not_drawn, use_face

_RUNNING_TITLE_LETTERS = 60


def pdf_of(document: Document, paper: str) -> bytes:
    """Return a document as PDF.

    Parameters
    ----------
    document : Document
    paper : {'a4', 'letter'}
    """
    if paper not in PAPER_SIZES_MM:
        raise ValueError(f'paper must be one of {tuple(PAPER_SIZES_MM)}, got {paper!r}')
    # The first time counts the pages, which each page then names.
    n_pages = _built(document, paper, 0)[1]
    return _built(document, paper, n_pages)[0]


def _built(document: Document, paper: str, n_pages: int) -> tuple[bytes, int]:
    page = tuple(side * mm for side in PAPER_SIZES_MM[paper])
    width = page[0] - 2 * MARGIN_SIDE_MM * mm
    height = page[1] - (MARGIN_TOP_MM + MARGIN_BOTTOM_MM) * mm
    number = document_number(document)
    data = BytesIO()
    template = BaseDocTemplate(
        data,
        pagesize=page,
        title=f"{document.kind}: {document.title}",
        subject=number,
        author='',
        creator='',
        lang='en',
        invariant=1,
        initialFontName=use_face(TEXT_FACE),
    )
    frame = Frame(
        MARGIN_SIDE_MM * mm, MARGIN_BOTTOM_MM * mm, width, height,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip

    def running_lines(canvas: Any, _: Any) -> None:
        _draw_running_lines(canvas, document, number, n_pages, page)

    template.addPageTemplates(PageTemplate(frames=[frame], onPage=running_lines))
    template.build(_top(document) + flowables((*document.blocks, *_undrawn_part(document)), width, height))
    return data.getvalue(), template.page


def _top(document: Document) -> list[Flowable]:
    """Kind, title and subtitle, on the first page."""
    kind = document.kind.upper()
    top = [
        paragraph(f"{kind} · {document.made_at}" if document.made_at else kind, 'kind'),
        paragraph(document.title, 'title'),
    ]
    return [*top, paragraph(document.subtitle, 'subtitle') if document.subtitle else Spacer(1, 6)]


def _undrawn_part(document: Document) -> tuple[Block, ...]:
    """List of the signs that the typefaces lack; they are never dropped without a word."""
    undrawn = not_drawn(texts_of(document))
    if not undrawn:
        return ()
    return (
        Heading("Signs that these pages cannot show"),
        Words(f"The typefaces of these pages lack some signs; {BOX} stands for each. They are, in their order:"),
        Points(tuple(codes_of(text) for text in undrawn)),
    )


def _draw_running_lines(canvas: Any, document: Document, number: str, n_pages: int, page: tuple[float, ...]) -> None:
    left, right = MARGIN_SIDE_MM * mm, page[0] - MARGIN_SIDE_MM * mm
    canvas.saveState()
    canvas.setStrokeColor(HexColor(RULE))
    canvas.setLineWidth(0.4)
    foot = FOOT_MM * mm
    canvas.line(left, foot + 12, right, foot + 12)
    if canvas.getPageNumber() > 1:
        title = f"{document.kind} · {_shortened(document.title)}"
        _line(canvas, title, 'running', left, page[1] - HEAD_MM * mm, right - left)
    else:
        canvas.setStrokeColor(HexColor(ACCENT))
        canvas.setLineWidth(2)
        canvas.line(left, page[1] - HEAD_MM * mm, left + 12 * mm, page[1] - HEAD_MM * mm)
    words = f"{number} · {document.source.name} SHA-256 {short_hash(document.source.sha256)}"
    _line(canvas, words, 'running', left, foot, 0.82 * (right - left))
    place = f"page {canvas.getPageNumber()} of {n_pages}"
    _line(canvas, place, 'running-right', right - 0.18 * (right - left), foot, 0.18 * (right - left))
    canvas.restoreState()


def _line(canvas: Any, words: str, style: str, x: float, y: float, width: float) -> None:
    line = paragraph(words, style)
    line.wrap(width, 1000)
    line.drawOn(canvas, x, y - 2)


def _shortened(title: str) -> str:
    one_line = ' '.join(title.split())
    return one_line if len(one_line) <= _RUNNING_TITLE_LETTERS else f"{one_line[: _RUNNING_TITLE_LETTERS - 1]}…"
