"""Tables of plain text, in any script."""

import unicodedata
from collections.abc import Sequence

_WIDE = ('W', 'F')
_CUT = "…"


def format_columns(rows: Sequence[Sequence[str]], widest: int, right: Sequence[int] = ()) -> list[str]:
    """Lines of a table whose first row is its header.

    Parameters
    ----------
    rows
        Cells, row by row.
    widest
        Longest cell, in columns of the screen; longer ones are cut.
    right
        Numbers of the columns that are set flush right.
    """
    cells = [[_shortened(cell, widest) for cell in row] for row in rows]
    widths = [max(width_of(cell) for cell in column) for column in zip(*cells, strict=True)]
    return [
        '  '.join(
            _padded(cell, width, k in right) for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]


def width_of(text: str) -> int:
    """Columns that a text takes on the screen."""
    return sum(0 if unicodedata.combining(s) else 2 if unicodedata.east_asian_width(s) in _WIDE else 1 for s in text)


def _shortened(text: str, widest: int) -> str:
    line = ' '.join(text.split())
    if width_of(line) <= widest:
        return line
    while width_of(line) > widest - 1:
        line = line[:-1]
    return line.rstrip() + _CUT


def _padded(text: str, width: int, is_right: bool) -> str:
    blanks = ' ' * (width - width_of(text))
    return blanks + text if is_right else text + blanks
