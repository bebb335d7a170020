"""Blocks of a document as what flows down the pages of a PDF."""

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Image, KeepTogether, PageBreak, Spacer
from reportlab.platypus import Table as FlowTable

from grader.documents.blocks import (
    Block,
    Card,
    Cards,
    Cell,
    Facts,
    Figure,
    Heading,
    Lead,
    NewPage,
    Picture,
    Points,
    SignLines,
    Table,
    Words,
)
from grader.documents.constants import FIGURE_LEAST_RATIO, INK, RULE
from grader.documents.pdf_text import paragraph
from grader.documents.typefaces import TEXT_FACE, use_face

_PAD = 4.0
_GAP = 12.0
_LABEL_SHARE = 0.28


class PartHeading(Flowable):  # type: ignore[misc]
    """A heading that also stands in the list of contents that viewers show."""

    def __init__(self, block: Heading) -> None:
        super().__init__()
        self.words, self.level = block.words, block.level
        self.keepWithNext = 1
        self._shown = paragraph(block.words, f'heading{block.level}')

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Size that is taken."""
        self._size = self._shown.wrap(width, height)
        return float(self._size[0]), float(self._size[1])

    def getSpaceBefore(self) -> float:  # noqa: N802
        """Room above."""
        return float(self._shown.getSpaceBefore())

    def getSpaceAfter(self) -> float:  # noqa: N802
        """Room below."""
        return float(self._shown.getSpaceAfter())

    def draw(self) -> None:
        """Draw the words, and note the place."""
        if self.level == 1:
            key = f'part-{self.canv.getPageNumber()}-{self.words}'
            self.canv.bookmarkHorizontal(key, 0, self._size[1])
            self.canv.addOutlineEntry(self.words, key, 0, closed=True)
        self._shown.drawOn(self.canv, 0, 0)


def flowables(blocks: Sequence[Block], width: float, height: float) -> list[Flowable]:
    """Return what flows down the pages; `width` and `height` of the text are in points."""
    flow: list[Flowable] = []
    for before, block in zip((None, *blocks), blocks, strict=False):
        part = _flow_of(block, width, height)
        if isinstance(before, Heading) and isinstance(block, Words):
            # Words that open a part stay with what they open.
            part[0].keepWithNext = 1
        flow += part
    return flow


def _flow_of(block: Block, width: float, height: float) -> list[Flowable]:
    match block:
        case Heading():
            return [PartHeading(block)]
        case Words():
            return [paragraph(block.words, block.tone)]
        case Points():
            return [_points(block, width), Spacer(1, 5)]
        case Facts():
            return [_facts(block, width, _LABEL_SHARE), Spacer(1, 6)]
        case Lead():
            return [_lead(block, width), Spacer(1, 6)]
        case Table():
            return [_table(block, width), Spacer(1, 8)]
        case Figure():
            return [FittingFigure(block, width, height)]
        case Cards():
            return _cards(block, width, height)
        case SignLines():
            return [_sign_lines(block, width)]
        case NewPage():
            return [PageBreak()]


def image_of(picture: Picture, width: float, height: float) -> Image:
    """Return a picture as large as fits into `width` by `height` points."""
    scale = min(width / picture.width_px, height / picture.height_px)
    return Image(BytesIO(picture.jpeg), picture.width_px * scale, picture.height_px * scale, hAlign='LEFT')


def _points(block: Points, width: float) -> Flowable:
    sign = "☐" if block.sign == 'box' else "•"
    indent = 16.0 if block.sign == 'box' else 10.0
    rows = [[paragraph(sign, 'plain'), paragraph(words, 'plain')] for words in block.sentences]
    return _grid(rows, [indent, width - indent], [('VALIGN', (0, 0), (-1, -1), 'TOP')], pad=(0, 0))


def _facts(block: Facts, width: float, label_share: float) -> Flowable:
    rows = [[paragraph(label, 'label'), paragraph(words, 'value')] for label, words in block.rows]
    lines = [('LINEBELOW', (0, 0), (-1, -1), 0.4, HexColor(RULE)), ('VALIGN', (0, 0), (-1, -1), 'TOP')]
    return _grid(rows, [width * label_share, width * (1 - label_share)], lines, pad=(0, 3))


def _lead(block: Lead, width: float) -> Flowable:
    left, right = 0.44 * width, 0.56 * width - _GAP
    image = image_of(block.picture, left, 1.3 * left)
    inside = _grid(
        [[paragraph(block.headline, 'headline')], [_facts(block.facts, right, 0.36)]], [right], [], pad=(0, 0)
    )
    return _grid([[image, '', inside]], [left, _GAP, right], [('VALIGN', (0, 0), (-1, -1), 'TOP')], pad=(0, 0))


def _table(block: Table, width: float) -> Flowable:
    widths = [column.share * width for column in block.columns]
    heads = [paragraph(one.heading, 'head-number' if one.is_number else 'head-cell') for one in block.columns]
    first_sum = len(block.rows) - block.n_sum_rows
    rows: list[list[Any]] = [heads]
    for k, row in enumerate(block.rows):
        rows.append(
            [
                _cell(cell, column.is_number, k >= first_sum, wide)
                for cell, column, wide in zip(row, block.columns, widths, strict=True)
            ]
        )
    lines: list[tuple[Any, ...]] = [
        ('VALIGN', (0, 0), (-1, -1), 'TOP'),
        ('VALIGN', (0, 0), (-1, 0), 'BOTTOM'),
        ('LINEBELOW', (0, 0), (-1, 0), 0.8, HexColor(INK)),
        ('LINEBELOW', (0, 1), (-1, -1), 0.4, HexColor(RULE)),
    ]
    if block.n_sum_rows:
        lines.append(('LINEABOVE', (0, first_sum + 1), (-1, first_sum + 1), 0.8, HexColor(INK)))
    return _grid(rows, widths, lines, pad=(_PAD, 3), head_rows=1)


def _cell(cell: Cell, is_number: bool, is_sum: bool, width: float) -> Flowable:
    if isinstance(cell, Picture):
        return image_of(cell, width - 2 * _PAD, width - 2 * _PAD)
    style = ('sum' if is_sum else 'cell') if not is_number else ('sum-number' if is_sum else 'number')
    return paragraph(cell, style)


class FittingFigure(Flowable):  # type: ignore[misc]
    """A picture with its caption, which gives way a little where the rest of a page is nearly enough for it."""

    def __init__(self, block: Figure, width: float, height: float) -> None:
        super().__init__()
        self._picture = block.picture
        self._room = block.width_ratio * width, block.height_ratio * height
        self._caption = paragraph(block.caption, 'note')

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Size that is taken."""
        self._below = self._caption.wrap(width, height)[1] + 2 * _PAD
        wide, high = self._room
        self._image = image_of(self._picture, wide, high)
        left = height - self._below
        if FIGURE_LEAST_RATIO * self._image.drawHeight <= left < self._image.drawHeight:
            self._image = image_of(self._picture, wide, left)
        return width, self._image.drawHeight + self._below

    def getSpaceAfter(self) -> float:  # noqa: N802
        """Room below."""
        return _GAP / 2

    def draw(self) -> None:
        """Draw the picture and the caption below it."""
        self._image.drawOn(self.canv, 0, self._below)
        self._caption.drawOn(self.canv, 0, _PAD)


def _cards(block: Cards, width: float, height: float) -> list[Flowable]:
    """Rows of cards; a row never breaks over pages."""
    n = block.n_columns
    wide = (width - (n - 1) * _GAP) / n
    widths = [wide if k % 2 == 0 else _GAP for k in range(2 * n - 1)]
    flow = []
    for start in range(0, len(block.cards), n):
        row: list[Any] = []
        for card in block.cards[start : start + n]:
            row += [_card(card, wide, height), '']
        row += [''] * (2 * n - len(row))
        flow.append(_grid([row[: 2 * n - 1]], widths, [('VALIGN', (0, 0), (-1, -1), 'TOP')], pad=(0, 0), split=False))
        flow.append(Spacer(1, 10))
    return flow


def _card(card: Card, width: float, height: float) -> Flowable:
    n = len(card.pictures)
    rows: list[list[Any]] = []
    if n:
        gap = 3.0
        each = (width - (n - 1) * gap) / n
        widths = [each if k % 2 == 0 else gap for k in range(2 * n - 1)]
        images: list[Any] = []
        for picture in card.pictures:
            images += [image_of(picture, each, 0.4 * height), '']
        rows.append([_grid([images[:-1]], widths, [('VALIGN', (0, 0), (-1, -1), 'TOP')], pad=(0, 0))])
        rows.append([Spacer(1, 3)])
    rows.append([paragraph(card.title, 'card-title')])
    rows += [[paragraph(line, 'note')] for line in card.lines]
    return _grid(rows, [width], [], pad=(0, 0), split=False)


def _sign_lines(block: SignLines, width: float) -> Flowable:
    n = len(block.labels)
    wide = (width - (n - 1) * _GAP) / n
    widths = [wide if k % 2 == 0 else _GAP for k in range(2 * n - 1)]
    labels: list[Any] = []
    for label in block.labels:
        labels += [paragraph(label, 'label'), '']
    rules = [('LINEABOVE', (2 * k, 0), (2 * k, 0), 0.6, HexColor(INK)) for k in range(n)]
    return KeepTogether([Spacer(1, 34), _grid([labels[:-1]], widths, rules, pad=(0, 2))])


def _grid(
    rows: list[list[Any]],
    widths: list[float],
    style: Sequence[tuple[Any, ...]],
    *,
    pad: tuple[float, float],
    head_rows: int = 0,
    split: bool = True,
) -> Flowable:
    # A row longer than a page, such as a description of 20,000 letters, goes on on the next.
    table = FlowTable(
        rows, colWidths=widths, repeatRows=head_rows, hAlign='LEFT', splitByRow=int(split), splitInRow=int(split)
    )
    sides, ends = pad
    table.setStyle(
        [
            ('FONTNAME', (0, 0), (-1, -1), use_face(TEXT_FACE)),
            ('LEFTPADDING', (0, 0), (-1, -1), sides),
            ('LEFTPADDING', (0, 0), (0, -1), 0),
            ('RIGHTPADDING', (0, 0), (-1, -1), sides),
            ('TOPPADDING', (0, 0), (-1, -1), ends),
            ('BOTTOMPADDING', (0, 0), (-1, -1), ends),
            *style,
        ]
    )
    return table
