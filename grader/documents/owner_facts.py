"""What the owner says of a piece, under the headings of Object ID."""

from dataclasses import dataclass

from grader.collection.piece import HEADINGS, Piece
from grader.documents.blocks import Block, Facts, Heading, Words

_OBJECT_FIELDS = (
    'type_of_object',
    'title',
    'maker',
    'date_or_period',
    'materials_and_techniques',
    'subject',
    'inscriptions_and_markings',
    'distinguishing_features',
    'measurements',
    'description',
    'inventory_number',
    'place_of_origin',
    'related_objects',
    'related_written_material',
    'date_documented',
)
# Price, value, seller, place and notes are the owner's own, and go into no report that others get.
_OBJECT_ID_FIELDS = _OBJECT_FIELDS[:10]
_GIVEN_MEASUREMENTS = "Measurements, as the owner gives them"


@dataclass(frozen=True, slots=True)
class ObjectFacts:
    """What is known of a piece besides its photos."""

    title: str
    subtitle: str
    rows: tuple[tuple[str, str], ...]
    """Headings and what the owner says, the empty ones left out."""
    not_stated: tuple[str, ...]
    """Headings of Object ID under which nothing stands."""


def object_facts(piece: Piece) -> ObjectFacts:
    """Return what a report for others may tell of a piece."""
    said = {name: str(getattr(piece, name)) for name in _OBJECT_FIELDS}
    headings = {**HEADINGS, 'measurements': _GIVEN_MEASUREMENTS}
    subtitle = ", ".join(part for part in (piece.maker, piece.date_or_period, piece.inventory_number) if part)
    return ObjectFacts(
        title=piece.title or piece.type_of_object,
        subtitle=subtitle,
        rows=tuple((headings[name], words) for name, words in said.items() if words),
        not_stated=tuple(HEADINGS[name].lower() for name in _OBJECT_ID_FIELDS if not said[name]),
    )


def object_part(owner: ObjectFacts | None) -> tuple[Block, ...]:
    """Return the part that identifies the object."""
    if owner is None:
        return (
            Heading("The object"),
            Words(
                "No description was given with this report: neither type, title, maker and date nor inscriptions. The "
                "photos and the measurements below identify the piece."
            ),
        )
    note = (
        f"As the owner states it, under the headings of Object ID. Not stated: {', '.join(owner.not_stated)}."
        if owner.not_stated
        else "As the owner states it, under the headings of Object ID."
    )
    return Heading("The object"), Words(note, 'note'), Facts(owner.rows)
