"""Rows of words in columns of equal width, in any script."""

import unicodedata
from collections.abc import Sequence

_WIDE = ('W', 'F')
_CUT = "…"


def columns(rows: Sequence[Sequence[str]], widest: int = 1000, right: Sequence[int] = ()) -> list[str]:
    """Return rows with their cells padded to the widest of each column.

    Parameters
    ----------
    rows
        Cells, row by row; at least one row.
    widest
        Longest cell, in columns of the screen; longer ones are cut.
    right
        Numbers of the columns that are set flush right.
    """
    # Many cells of a long table are alike, so each text is measured once.
    cells = {text: _shortened(text, widest) for text in {cell for row in rows for cell in row}}
    widths = [max(cells[text][1] for text in set(column)) for column in zip(*rows, strict=True)]
    padded = [
        {text: _padded(*cells[text], widths[k], k in right) for text in set(column)}
        for k, column in enumerate(zip(*rows, strict=True))
    ]
    return ['  '.join(texts[cell] for cell, texts in zip(row, padded, strict=True)).rstrip() for row in rows]


def width_of(text: str) -> int:
    """Columns that a text takes on the screen."""
    if text.isascii():
        return len(text)
    return sum(0 if unicodedata.combining(s) else 2 if unicodedata.east_asian_width(s) in _WIDE else 1 for s in text)


def _shortened(text: str, widest: int) -> tuple[str, int]:
    """Text on one line and short enough, and its width."""
    line = ' '.join(text.split())
    width = width_of(line)
    if width <= widest:
        return line, width
    while width_of(line) > widest - 1:
        line = line[:-1]
    line = line.rstrip() + _CUT
    return line, width_of(line)


def _padded(text: str, width: int, column_width: int, is_right: bool) -> str:
    blanks = ' ' * (column_width - width)
    return blanks + text if is_right else text + blanks
