"""Same piece, changes, and what could have been seen: parts of the reports made from a comparison."""

from collections.abc import Sequence

from grader.comparison import ChangeFacts, Comparison, SideFacts
from grader.comparison_words import CHANGE_MEANINGS, CHANGE_WORDS
from grader.documents.blocks import Block, Card, Cards, Column, Heading, Points, Table, Words
from grader.documents.change_pictures import change_pictures
from grader.documents.compared import ComparedPiece, possible_changes, told_changes
from grader.documents.constants import CARD_NAME_LETTERS
from grader.documents.handover_words import HandoverWords
from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.record import Measurement
from grader.report.compare_wording import NOT_LISTED, NOTHING_LISTED, change_title
from grader.report.wording import shortened

_ANSWERS = {
    'was seen': "yes, and it was there",
    'would have been seen': "yes, and it was not there",
    'could not be seen': "no",
    'open': "cannot be told",
}
_CHANGE_COLUMNS = 2


def same_part(comparison: Comparison, words: HandoverWords) -> tuple[Block, ...]:
    """Return whether it is one piece, and why."""
    same = comparison.same_piece
    grounds = tuple(
        f"{one.words.rstrip('.')} ({'speaks for' if one.log_odds > 0 else 'speaks against'} one piece)."
        for one in same.grounds
    )
    return Heading(words.same_heading), Words(same.words, 'lead'), *((Points(grounds),) if grounds else ())


def changes_part(compared: ComparedPiece) -> tuple[Block, ...]:
    """Return the table of changes and each as both sides show it."""
    comparison = compared.comparison
    if comparison.same_piece.verdict == 'another piece':
        return Heading("Changes"), Words(NOT_LISTED)
    told, possible = told_changes(comparison), possible_changes(comparison)
    if not told and not possible:
        return Heading("Changes"), Words(NOTHING_LISTED)
    changes = dict.fromkeys(one.change for one in (*told, *possible))
    meanings = "; ".join(f"{CHANGE_WORDS[change]}: {CHANGE_MEANINGS[change]}" for change in changes)
    return (
        Heading("Changes"),
        *((_changes_table(told),) if told else (Words("None is more likely than not."),)),
        *((Heading("Possible changes, less likely than not", 2), _changes_table(possible)) if possible else ()),
        Words(f"{meanings}.", 'note'),
        *_pictures(compared, (*told, *possible)),
    )


def could_part(comparison: Comparison) -> tuple[Block, ...]:
    """Return the table: could each mark of the later side have been seen before?"""
    rows = tuple(_could_row(one) for one in told_changes(comparison) if one.earlier is not None)
    if not rows or comparison.same_piece.verdict == 'another piece':
        return ()
    columns = (
        Column("No.", 0.06),
        Column("Mark", 0.22),
        Column("Where", 0.2),
        Column("Could be seen then?", 0.16),
        Column("Why", 0.36),
    )
    return (
        Heading("Could it have been seen in the earlier photos?"),
        Table(columns, rows),
        Words("\"No\" means that nothing is known; it never means that the glass was clean there.", 'note'),
    )


def shared_part(comparison: Comparison) -> tuple[Block, ...]:
    """Return how much of the piece could be compared at all."""
    shared = comparison.shared_view
    notes = tuple(flag.text for flag in (*comparison.flags, *comparison.before.flags, *comparison.after.flags))
    doubts: tuple[Block, ...] = (
        (Words("Doubts about the photos:"), Points(tuple(dict.fromkeys(notes)))) if notes else ()
    )
    if shared is None:
        return (Heading("What could not be compared"), *doubts) if doubts else ()
    bands = ", ".join(f"{band.band} {percent_words(band.both_ratio)}" for band in shared.bands)
    return (
        Heading("What could not be compared"),
        Words(
            f"Both sides show {percent_words(shared.both_ratio)} of the dome's surface clearly ({bands}); the "
            f"earlier side alone {percent_words(shared.before_ratio)}, the later side alone "
            f"{percent_words(shared.after_ratio)}. Of all else nothing is said."
        ),
        *doubts,
    )


def sizes_part(comparison: Comparison, words: HandoverWords) -> tuple[Block, ...]:
    """Return the sizes of both sides, and those that somebody stated."""
    rows = [
        (f"{name}: {what}", one.text)
        for name, side in zip(words.sides, (comparison.before, comparison.after), strict=True)
        for what, one in _sizes(side)
        if one is not None
    ]
    table = Table((Column("Measured", 0.4), Column("Value and doubt", 0.6)), tuple(rows))
    stated = Table(
        (Column("Stated", 0.2), Column("Verdict", 0.16), Column("In words", 0.64)),
        tuple((one.stated, one.verdict, one.words) for one in comparison.stated_sizes),
    )
    scales = tuple(
        f"{name}: {side.scale.words}."
        for name, side in zip(words.sides, (comparison.before, comparison.after), strict=True)
        if side.scale.source != 'card'
    )
    return (
        Heading(words.sizes_heading if comparison.stated_sizes else "Sizes"),
        *((stated,) if comparison.stated_sizes else ()),
        *((table,) if rows else (Words("No millimetres can be told of either side."),)),
        *((Points(scales),) if scales else ()),
    )


def _sizes(side: SideFacts) -> tuple[tuple[str, Measurement | None], ...]:
    return (
        ("largest width", side.diameter_max_mm),
        ("smallest width", side.diameter_min_mm),
        ("height", side.height_mm),
    )


def _changes_table(changes: Sequence[ChangeFacts]) -> Table:
    columns = (
        Column("No.", 0.06),
        Column("What became of it", 0.2),
        Column("Mark", 0.13),
        Column("Size", 0.26),
        Column("Where", 0.23),
        Column("How sure", 0.12),
    )
    rows = tuple(
        (
            str(one.number),
            one.change_words,
            KIND_WORDS[MarkKind(one.kind)],
            one.size_words,
            one.place_words,
            percent_words(one.confidence),
        )
        for one in changes
    )
    return Table(columns, rows)


def _could_row(one: ChangeFacts) -> tuple[str, ...]:
    if one.earlier is None:
        raise ValueError('a mark of the earlier side has no row')
    mark = f"{KIND_WORDS[MarkKind(one.kind)]}, {one.size_words}"
    return str(one.number), mark, one.place_words, _ANSWERS[one.earlier.verdict], one.earlier.words


def _pictures(compared: ComparedPiece, changes: Sequence[ChangeFacts]) -> tuple[Block, ...]:
    cards = tuple(
        Card(change_pictures(compared, one), f"{one.number} · {change_title(one)}", _lines(one)) for one in changes
    )
    note = (
        "Left the earlier photo, right the later one, cut from the photos and enlarged; nothing is added. The line "
        "runs beside the mark; a dashed circle is its place in a photo that does not show it. The bars hold at the "
        "piece's widest ring. The earlier part is turned like the later one where the design tells how."
    )
    return Heading("Each change, close up", 2), Words(note, 'note'), Cards(cards, _CHANGE_COLUMNS)


def _lines(one: ChangeFacts) -> tuple[str, ...]:
    look = one.earlier or one.later
    grown = one.grown_words.rstrip('.')
    parts = [f"{one.place_words}; {percent_words(one.confidence)} sure", grown, look.words if look is not None else ""]
    return tuple(part for part in (*parts, f"best in {shortened(one.best_photo, CARD_NAME_LETTERS)}") if part)
