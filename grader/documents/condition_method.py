"""What could not be seen, the photos, and how the piece was examined."""

from collections.abc import Sequence

from grader.documents.blocks import Block, Card, Cards, Column, Facts, Heading, Points, Table, Words
from grader.documents.constants import PLAIN_PICTURE_PX
from grader.documents.examined import ExaminedPiece
from grader.documents.pictures import picture_of, reduced
from grader.documents.shared_parts import time_words
from grader.record import CardFacts, Findings, GradingRecord, PhotoFacts
from grader.report.table import seen_words, unseen_words

_NOTHING_MORE = (
    "\"Nothing found\" never means more than \"nothing found where the photos show the glass\". Reflections and steep "
    "flanks hide marks, and so do busy designs."
)
_PHOTO_COLUMNS = 2
_MANY_PHOTOS, _MANY_COLUMNS = 4, 3


def unseen_part(record: GradingRecord) -> tuple[Block, ...]:
    """Return what of the piece could not be seen, and how small a mark shows."""
    if record.photo_set is None:
        seen = f"Could not be seen: {unseen_words(record)}."
    else:
        seen = f"Seen: {seen_words(record.photo_set)}."
    rows = tuple((one.photo, one.quality.verdict, one.quality.smallest_words) for one in _findings(record))
    notes = tuple(flag.text for flag in record.flags)
    table = Table((Column("Photo", 0.26), Column("Quality", 0.18), Column("Smallest marks that show", 0.56)), rows)
    base = any(turn.is_base for turn in record.photo_set.turns) if record.photo_set is not None else False
    return (
        Heading("What could not be seen"),
        Words(seen),
        *(() if base else (Words("The base was not photographed by itself; nothing is said of it."),)),
        table,
        *((Words("Doubts about the photos:"), Points(notes)) if notes else ()),
        Words(_NOTHING_MORE, 'note'),
    )


def photos_part(examined: ExaminedPiece) -> tuple[Block, ...]:
    """Return each photo as a whole."""
    findings = {one.photo: one for one in examined.findings}
    cards = []
    for photo, facts in zip(examined.photos, examined.record.photos, strict=True):
        told = findings.get(facts.name)
        lines = tuple(
            line for line in (told.quality.view_words if told is not None else "", _file_words(facts)) if line
        )
        picture = picture_of(reduced(photo.rgb, PLAIN_PICTURE_PX), f"Photo {facts.name} as a whole")
        cards.append(Card((picture,), facts.name, lines))
    n_columns = _MANY_COLUMNS if len(cards) > _MANY_PHOTOS else _PHOTO_COLUMNS
    return Heading("Photographs"), Cards(tuple(cards), n_columns)


def method_part(record: GradingRecord) -> tuple[Block, ...]:
    """Return how the piece was examined."""
    settings = record.settings
    ruler, height = settings.card.measured_ruler_mm, settings.size.height_mm
    rows = [
        ("Method", "Photos, measured and searched for marks by a program; nobody touched the piece for it"),
        ("Purpose", "To state the condition that the photos show"),
        ("Time", time_words(record.made_at) or "not stated"),
        ("Scale", _card_words([one.card for one in _findings(record)])),
        *([("Printed ruler", f"{ruler:g} mm long by the user's own measuring")] if ruler is not None else []),
        *([("Height", f"{height:g} mm by the user's own measuring")] if height is not None else []),
        *([("After wiping", ", ".join(settings.sets.wiped))] if settings.sets.wiped else []),
        *([("Of the base", ", ".join(settings.sets.base))] if settings.sets.base else []),
        ("Light", _light_words(_findings(record))),
        ("Grade rules", record.grade.rules_version),
        ("Program", f"grader {record.versions.grader}"),
    ]
    faults = tuple(f"{fault.name}: {fault.problem}" for fault in record.faults)
    return (
        Heading("How it was examined"),
        Facts(tuple(rows)),
        *((Words("Photos that could not be examined:"), Points(faults)) if faults else ()),
        Words("The same photos, settings and program give the same record, so that anybody can make it again.", 'note'),
    )


def _findings(record: GradingRecord) -> Sequence[Findings]:
    return record.other_findings or (record,)


def _file_words(facts: PhotoFacts) -> str:
    parts = [
        f"{facts.width_px} x {facts.height_px} px",
        facts.camera,
        f"taken {facts.taken_at}, by the camera's clock" if facts.taken_at else "",
    ]
    return "; ".join(part for part in parts if part)


def _card_words(cards: Sequence[CardFacts]) -> str:
    """How many photos show a card."""
    n_cards, n = sum(card.card != 'none' for card in cards), len(cards)
    if n_cards == 0:
        return "no calibration card, so no millimetres"
    kinds = " and ".join(sorted({f"the {card.card} card" for card in cards if card.card != 'none'}))
    return f"{kinds}, printed" if n_cards == n else f"{kinds}, printed, in {n_cards} of {n} photos"


def _light_words(findings: Sequence[Findings]) -> str:
    return "; ".join(dict.fromkeys(one.quality.view_words for one in findings))
