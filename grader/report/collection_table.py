"""A collection as the owner reads it on the screen."""

from collections.abc import Sequence
from textwrap import wrap

from grader.collection.examinations import StoredExamination, is_sealed
from grader.collection.import_plan import ImportPlan
from grader.collection.index import PieceRow
from grader.collection.money import totals
from grader.collection.piece import HEADINGS, Piece
from grader.collection.piece_folder import StoredPiece
from grader.report.columns import columns

_WIDTH = 96
_LABEL_WIDTH = 27
_WIDEST_CELL = 28
_HEADER = ("Id", "No.", "Title", "Maker", "Date or period", "Place kept", "Value", "Exams")


def format_rows(rows: Sequence[PieceRow]) -> str:
    """Table of pieces, with their number and the sum of their values by currency."""
    if not rows:
        return "No pieces.\n"
    cells = [_HEADER] + [
        (
            row.id,
            row.inventory_number,
            row.title,
            row.maker,
            row.date_or_period,
            row.place_kept,
            "" if row.value is None else str(row.value),
            str(row.n_examinations or ""),
        )
        for row in rows
    ]
    lines = columns(cells, _WIDEST_CELL, right=(6, 7))
    values = [row.value for row in rows if row.value is not None]
    count = "1 piece" if len(rows) == 1 else f"{len(rows):,} pieces"
    sums = ', '.join(str(money) for money in totals(values))
    lines += ['', f"{count}; values of {len(values)} of them: {sums}" if values else count]
    return '\n'.join(lines) + '\n'


def format_piece(stored: StoredPiece, examinations: Sequence[StoredExamination]) -> str:
    """All that is known of a piece: the headings that are filled in, photos and examinations."""
    piece = stored.piece
    title = piece.title or piece.type_of_object or stored.folder.name
    lines = [title, '-' * min(len(title), _WIDTH), *_row("Id", piece.id)]
    for name, heading in HEADINGS.items():
        value = getattr(piece, name)
        if value:
            lines += _row(heading, str(value))
    for photo in piece.photos:
        notes = [words for words in (photo.shows, "with scale" if photo.with_scale else "") if words]
        lines += _row("Photo", photo.file + (f" ({', '.join(notes)})" if notes else ""))
    for one in examinations:
        lines += _row("Examination", one.folder.name + (" (sealed)" if is_sealed(one.folder) else ""))
    lines += _row("Folder", str(stored.folder))
    return '\n'.join([*lines, *_missing_lines(piece)]) + '\n'


def format_plan(plan: ImportPlan, *, is_done: bool) -> str:
    """What an import changes, piece by piece and field by field."""
    lines = [f"New: {piece.title or piece.type_of_object or piece.id} ({piece.id})" for piece in plan.new]
    for change in plan.changed:
        piece = change.stored.piece
        lines.append(f"Changed: {piece.title or change.stored.folder.name} ({piece.id})")
        lines += [f"  {one.heading}: \"{one.before}\" becomes \"{one.after}\"" for one in change.fields()]
    counts = f"{len(plan.new):,} new, {len(plan.changed):,} changed, {plan.n_same:,} the same"
    lines.append(f"Imported: {counts}." if is_done else f"Nothing was changed yet. It would be: {counts}.")
    if plan.n_photos_left:
        lines.append(
            f"{plan.n_photos_left} photo(s) are only named in the file: copy them with "
            "\"grader collection edit --photo\"."
        )
    return '\n'.join(lines) + '\n'


def missing_facts(piece: Piece) -> list[str]:
    """What Object ID asks for and is not there yet."""
    wanted = ('title', 'type_of_object', 'maker', 'date_or_period', 'materials_and_techniques', 'measurements',
              'inscriptions_and_markings', 'subject', 'distinguishing_features', 'description')  # fmt: skip
    missing = [HEADINGS[name].lower() for name in wanted if not getattr(piece, name)]
    if not piece.photos:
        missing.append("photos")
    elif not any(photo.with_scale for photo in piece.photos):
        missing.append("a photo with a scale")
    return missing


def _missing_lines(piece: Piece) -> list[str]:
    missing = missing_facts(piece)
    if not missing:
        return []
    return ['', *wrap(f"Not filled in yet, of what Object ID asks for: {', '.join(missing)}.", _WIDTH)]


def _row(label: str, text: str) -> list[str]:
    lines = [part for line in text.split('\n') for part in wrap(line, _WIDTH - _LABEL_WIDTH) or ['']]
    return [f"{label if k == 0 else '':<{_LABEL_WIDTH}}{line}".rstrip() for k, line in enumerate(lines)]
