"""Rows of words in columns of equal width."""

from collections.abc import Sequence


def columns(rows: Sequence[Sequence[str]]) -> list[str]:
    """Return rows with their cells padded to the widest of each column."""
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return ['  '.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
