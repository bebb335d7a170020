"""Pieces as a table: CSV by RFC 4180 in UTF-8, one line a piece, one column a field.

The columns are those of `CSV_COLUMNS`; money has two, amount and currency. A cell that begins with a sign which makes
spreadsheet programs take it for a formula (= + - @, their wide forms, a tabulator) gets an apostrophe before it, and so
does one that begins with an apostrophe; reading takes that one away, so that a table comes back as it was.
"""

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any

from grader.collection.import_faults import Candidate, Faults
from grader.collection.piece import MONEY_FIELDS, OWNER_FIELDS, Piece

_CURRENCY_SUFFIX = '_currency'
CSV_COLUMNS = (
    'id',
    *(
        column
        for name in OWNER_FIELDS
        for column in ((name, name + _CURRENCY_SUFFIX) if name in MONEY_FIELDS else (name,))
    ),
)
_FORMULA_SIGNS = ('=', '+', '-', '@', '\t', '\n', '＝', '＋', '－', '＠')
_GUARD = "'"


def to_csv(pieces: Iterable[Piece]) -> str:
    """Table of the pieces, with its header; lines end with CR LF."""
    text = io.StringIO(newline='')
    writer = csv.writer(text)
    writer.writerow(CSV_COLUMNS)
    for piece in pieces:
        writer.writerow([guarded(cell) for cell in _cells(piece)])
    return text.getvalue()


def from_csv(text: str) -> tuple[tuple[Candidate, ...], Faults]:
    """Rows of a table, each with the line on which it begins, and the faults of the table itself.

    Columns may be left out or stand in any order, and be written like the headings ("Place kept"); empty cells are left
    out of a row. Semicolons or tabulators between the cells, as some spreadsheets write them, are taken as well.
    """
    text = text.removeprefix('\ufeff')
    faults: list[tuple[int, str]] = []
    reader = csv.reader(io.StringIO(text, newline=''), delimiter=table_delimiter(text), strict=True)
    rows = table_rows(reader, faults)
    _, header = next(rows, (1, []))
    columns = [name.strip().casefold().replace(' ', '_') for name in header]
    faults += [(1, f"the column \"{name}\" is not known") for name in columns if name not in CSV_COLUMNS]
    faults += [(1, f"the column \"{name}\" is there twice") for name in set(columns) if columns.count(name) > 1]
    if not header:
        faults.append(
            (1, f"there is no header: the first line must name columns, such as {', '.join(CSV_COLUMNS[:4])}")
        )
    candidates = []
    for line, cells in rows:
        if len(cells) != len(columns):
            faults.append((line, f"there are {len(cells)} cells, and the header has {len(columns)} columns"))
            continue
        named = {name: unguarded(cell) for name, cell in zip(columns, cells, strict=True) if cell.strip()}
        candidates.append(Candidate(line, _with_money(named)))
    return tuple(candidates), tuple(faults)


def guarded(cell: str) -> str:
    """Cell that no spreadsheet takes for a formula."""
    return _GUARD + cell if cell.startswith((*_FORMULA_SIGNS, _GUARD)) else cell


def unguarded(cell: str) -> str:
    """Cell as it was before `guarded`."""
    return cell[1:] if cell.startswith(_GUARD) and cell[1:].startswith((*_FORMULA_SIGNS, _GUARD)) else cell


def table_delimiter(text: str) -> str:
    """Sign between the cells, by the header, whose names hold none of them."""
    header = text.partition('\n')[0]
    return next((sign for sign in (',', ';', '\t') if sign in header), ',')


def _cells(piece: Piece) -> Iterator[str]:
    yield piece.id
    for name in OWNER_FIELDS:
        value = getattr(piece, name)
        if name not in MONEY_FIELDS:
            yield value
        elif value is None:
            yield from ('', '')
        else:
            yield from (format(value.amount, 'f'), value.currency)


def table_rows(reader: Any, faults: list[tuple[int, str]]) -> Iterator[tuple[int, list[str]]]:
    """Lines that are not empty, with the number of the line on which each begins."""
    while True:
        line = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as err:
            faults.append((line, f"the table cannot be read from here on ({err})"))
            return
        if any(cell.strip() for cell in cells):
            yield line, cells


def _with_money(named: dict[str, str]) -> dict[str, Any]:
    """Fields of a row, with the two cells of each money put together; half of one is left for the check to find."""
    fields: dict[str, Any] = dict(named)
    for name in MONEY_FIELDS:
        parts = {'amount': fields.pop(name, None), 'currency': fields.pop(name + _CURRENCY_SUFFIX, None)}
        given = {part: text.strip() for part, text in parts.items() if text is not None}
        if given:
            fields[name] = given
    return fields
