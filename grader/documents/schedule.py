"""The schedule of a collection: each piece with a small photo, description and value, and totals by currency."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.collection.money import Money, totals
from grader.collection.piece import Piece
from grader.documents.blocks import (
    Block,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    NamedHash,
    Picture,
    Points,
    SignLines,
    Table,
    Words,
)
from grader.documents.shared_parts import hashes_part, time_words

KIND = "Schedule of a collection"
_COLUMNS = (
    Column("No.", 0.06),
    Column("Photo", 0.15),
    Column("Piece", 0.34),
    Column("Size and condition", 0.25),
    Column("Value", 0.2, is_number=True),
)
_SUM_COLUMNS = (Column("Sum", 0.5), Column("Pieces", 0.2, is_number=True), Column("Amount", 0.3, is_number=True))
_CAUTIONS = (
    "It lists what the owner states. Values are the owner's own, or those of whom the list names; this program valued "
    "nothing and checked no value.",
    "Sizes and conditions are those of the latest examination that is stored with a piece, where there is one.",
    "Sums of different currencies are not added to each other, since any rate of exchange would be out of date.",
    "It is no advice about insurance. What is insured, and for how much, the policy says.",
)


@dataclass(frozen=True, slots=True)
class ScheduleEntry:
    """One piece of the schedule."""

    piece: Piece
    piece_sha256: str
    """Hash of its piece.json."""
    picture: Picture | None
    """A small photo; None where there is none that can be read."""
    condition: tuple[str, ...]
    """Size and condition by the latest examination, a line each; none where it was not examined."""


@dataclass(frozen=True, slots=True)
class ScheduleWishes:
    """What the user wants of a schedule."""

    owner: str = ''
    """Name to be put on it."""
    with_places: bool = False
    """Whether it says where each piece is kept."""
    made_at: str = ''
    """Time to state, ISO 8601; '' for none."""


def schedule_report(entries: Sequence[ScheduleEntry], source_sha256: str, wishes: ScheduleWishes) -> Document:
    """Return the schedule; the entries keep their order."""
    rows = tuple(_row(number, entry, wishes.with_places) for number, entry in enumerate(entries, start=1))
    files = tuple(NamedHash(f"{entry.piece.id}, piece.json", entry.piece_sha256) for entry in entries)
    table: Block = Table(_COLUMNS, rows) if rows else Words("There is no piece in the collection.")
    blocks: tuple[Block, ...] = (
        Facts(_facts(entries)),
        Heading("Totals by currency"),
        *totals_part([entry.piece for entry in entries]),
        Heading("The pieces"),
        table,
        Heading("What this schedule is, and what it is not"),
        Points(_CAUTIONS),
        SignLines(("Owner", "Date", "Remarks")),
        *hashes_part(files, ()),
    )
    return Document(
        kind=KIND,
        prefix='SC',
        title=f"The collection of {wishes.owner}" if wishes.owner else "A collection of art glass",
        subtitle="1 piece" if len(entries) == 1 else f"{len(entries)} pieces",
        made_at=time_words(wishes.made_at),
        source=NamedHash("pieces", source_sha256),
        blocks=blocks,
    )


def totals_part(pieces: Sequence[Piece]) -> tuple[Block, ...]:
    """Return the sums: of values, and of what was paid for pieces without one."""
    values = [piece.value for piece in pieces if piece.value is not None]
    paid = [piece.price for piece in pieces if piece.value is None and piece.price is not None]
    n_bare = sum(piece.value is None and piece.price is None for piece in pieces)
    rows = (*_sum_rows("Values", values), *_sum_rows("Paid, for pieces without a value", paid))
    note = {0: "", 1: "1 piece has neither value nor price."}.get(
        n_bare, f"{n_bare} pieces have neither value nor price."
    )
    return (
        *((Table(_SUM_COLUMNS, rows, n_sum_rows=len(rows)),) if rows else (Words("No value and no price is stated."),)),
        *((Words(note),) if note else ()),
    )


def _sum_rows(words: str, amounts: Sequence[Money]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (f"{words}, {total.currency}", str(sum(one.currency == total.currency for one in amounts)), str(total))
        for total in totals(amounts)
    )


def _facts(entries: Sequence[ScheduleEntry]) -> tuple[tuple[str, str], ...]:
    n = len(entries)
    return (
        ("Pieces", str(n)),
        ("With a value", str(sum(entry.piece.value is not None for entry in entries))),
        ("With a photo here", str(sum(entry.picture is not None for entry in entries))),
        ("Examined", str(sum(bool(entry.condition) for entry in entries))),
    )


def _row(number: int, entry: ScheduleEntry, with_places: bool) -> tuple[Cell, ...]:
    piece = entry.piece
    lines = [
        piece.title or piece.type_of_object or "Untitled",
        ", ".join(part for part in (piece.maker, piece.date_or_period) if part),
        piece.materials_and_techniques,
        piece.inscriptions_and_markings,
        f"inventory {piece.inventory_number}" if piece.inventory_number else "",
        f"id {piece.id}",
        f"kept: {piece.place_kept}" if with_places and piece.place_kept else "",
    ]
    sizes = [piece.measurements and f"{piece.measurements} (owner)", *entry.condition]
    return (
        str(number),
        entry.picture if entry.picture is not None else "no photo",
        "\n".join(line for line in lines if line),
        "\n".join(line for line in sizes if line) or "not stated",
        "\n".join(_value_lines(piece)),
    )


def _value_lines(piece: Piece) -> tuple[str, ...]:
    if piece.value is not None:
        who = ", ".join(part for part in (piece.valued_by, piece.valued_when) if part)
        return (str(piece.value), who) if who else (str(piece.value),)
    if piece.price is not None:
        return "not valued", f"paid {piece.price}", *([piece.bought_when] if piece.bought_when else [])
    return ("not stated",)
