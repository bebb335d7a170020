"""Reports made from a comparison: before and after a journey, and a listing against what arrived."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.comparison import SideFacts
from grader.comparison_words import SIDES
from grader.documents.blocks import (
    Block,
    Card,
    Cards,
    Column,
    Document,
    Heading,
    NamedHash,
    Points,
    SignLines,
    Table,
    Words,
)
from grader.documents.change_overview import overview
from grader.documents.change_parts import changes_part, could_part, same_part, shared_part, sizes_part
from grader.documents.compared import ComparedPiece
from grader.documents.constants import PLAIN_PICTURE_PX
from grader.documents.handover_words import HandoverWords
from grader.documents.owner_facts import ObjectFacts, object_part
from grader.documents.pictures import picture_of, reduced
from grader.documents.shared_parts import cautions_part, hashes_part, time_words
from grader.documents.time_line import Event, events_of, time_line_part
from grader.photos.load import Photo
from grader.report.compare_wording import headline_of

_PACKING_COLUMNS = 2


@dataclass(frozen=True, slots=True, eq=False)
class Additions:
    """What the user adds to a comparison."""

    owner: ObjectFacts | None = None
    """What is known of the piece."""
    events: tuple[Event, ...] = ()
    packing: tuple[Photo, ...] = ()
    """Photos of the packaging."""
    made_at: str = ''
    """Time to state, ISO 8601; '' for that of the comparison."""


def handover_report(compared: ComparedPiece, words: HandoverWords, added: Additions) -> Document:
    """Return the report, in the words of a journey or of a purchase."""
    comparison, owner = compared.comparison, added.owner
    blocks: tuple[Block, ...] = (
        Words(words.opening, 'note'),
        Words(f"{headline_of(comparison)}.", 'lead'),
        Points(comparison.summary),
        _first_photos(compared, words),
        *((object_part(owner)) if owner is not None else ()),
        *same_part(comparison, words),
        *(figure for side in SIDES for figure in overview(compared, side)),
        *changes_part(compared),
        *could_part(comparison),
        *shared_part(comparison),
        *sizes_part(comparison, words),
        *time_line_part(events_of(comparison, words.sides, added.events)),
        *_packing_part(added.packing),
        Heading(words.steps_heading),
        Points(words.steps, 'box'),
        Words(words.terms, 'note'),
        *_photos_part(compared, words),
        *cautions_part(),
        SignLines(("Compared with the piece in hand by", "Date", "Remarks")),
        *_hashes(compared, added),
    )
    return Document(
        kind=words.kind,
        prefix=words.prefix,
        title=owner.title if owner is not None and owner.title else "A piece of art glass",
        subtitle="" if owner is None else owner.subtitle,
        made_at=time_words(added.made_at or comparison.made_at),
        source=NamedHash("comparison", compared.comparison_sha256),
        blocks=blocks,
    )


def _first_photos(compared: ComparedPiece, words: HandoverWords) -> Cards:
    """The main photo of each side, as a whole."""
    cards = []
    for name, facts, photos in zip(
        words.sides,
        (compared.comparison.before, compared.comparison.after),
        (compared.before, compared.after),
        strict=True,
    ):
        main = facts.photos[0].photo.name
        picture = picture_of(reduced(photos[0].rgb, PLAIN_PICTURE_PX), f"{name}: photo {main} as a whole")
        cards.append(Card((picture,), f"{name}: {main}", (_width_words(facts),)))
    return Cards(tuple(cards), 2)


def _width_words(facts: SideFacts) -> str:
    return f"largest width {facts.diameter_max_mm.text}" if facts.diameter_max_mm is not None else facts.scale.words


def _packing_part(packing: Sequence[Photo]) -> tuple[Block, ...]:
    if not packing:
        return ()
    cards = tuple(
        Card(
            (picture_of(reduced(photo.rgb, PLAIN_PICTURE_PX), f"Packaging, photo {photo.name}"),),
            photo.name,
            (f"taken {photo.taken_at}, by the camera's clock",) if photo.taken_at else (),
        )
        for photo in packing
    )
    note = "Photos of the packaging, as the user names them; the program did not judge them."
    return Heading("Packaging"), Words(note, 'note'), Cards(cards, _PACKING_COLUMNS)


def _photos_part(compared: ComparedPiece, words: HandoverWords) -> tuple[Block, ...]:
    sides = (compared.comparison.before, compared.comparison.after)
    rows: list[tuple[str, ...]] = []
    for name, side in zip(words.sides, sides, strict=True):
        rows += [(name, one.photo.name, one.verdict, one.smallest_words) for one in side.photos]
        rows += [(name, one.name, "left out", one.reason) for one in side.left_out]
        rows += [(name, one.name, "not examined", one.problem) for one in side.faults]
    columns = (Column("Side", 0.12), Column("Photo", 0.28), Column("Quality", 0.17), Column("Smallest marks", 0.43))
    return Heading("The photos"), Table(columns, tuple(rows))


def _hashes(compared: ComparedPiece, added: Additions) -> tuple[Block, ...]:
    files = (NamedHash("comparison.json", compared.comparison_sha256),)
    photos = (*compared.before, *compared.after, *added.packing)
    return hashes_part(files, tuple(NamedHash(photo.name, photo.sha256) for photo in photos))
