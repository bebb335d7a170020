"""The condition report of one piece, from its examination.

The parts stand in the order that a condition record of movable heritage (EN 16095:2012, its headings from memory) and
the Object ID standard suggest: what the object is, its measurements, its condition, pictures, how it was examined.
"""

import numpy as np

from grader.documents.blocks import Block, Document, Facts, Lead, NamedHash, SignLines
from grader.documents.condition_method import method_part, photos_part, unseen_part
from grader.documents.condition_parts import condition_part, marks_words, measurements_part, score_words
from grader.documents.constants import PLAIN_PICTURE_PX
from grader.documents.examined import ExaminedPiece
from grader.documents.owner_facts import ObjectFacts, object_part
from grader.documents.pictures import cut_round, picture_of, reduced
from grader.documents.review_part import review_part, score_by_review
from grader.documents.shared_parts import cautions_part, hashes_part, time_words

KIND = "Condition report"


def condition_report(examined: ExaminedPiece, owner: ObjectFacts | None, made_at: str) -> Document:
    """Return the report.

    Parameters
    ----------
    examined : ExaminedPiece
    owner : ObjectFacts or None
        What the owner says of the piece; None where nothing is known.
    made_at : str
        Time to state, ISO 8601; '' for that of the record.
    """
    record = examined.record
    blocks: tuple[Block, ...] = (
        _lead(examined),
        *object_part(owner),
        *measurements_part(record),
        *condition_part(examined),
        *review_part(examined.review),
        *unseen_part(record),
        *photos_part(examined),
        *method_part(record),
        *cautions_part(),
        SignLines(("Compared with the piece in hand by", "Date", "Remarks")),
        *hashes_part(
            (
                NamedHash("record.json", examined.record_sha256),
                *([NamedHash("review.json", examined.review.sha256)] if examined.review is not None else []),
            ),
            tuple(NamedHash(facts.name, facts.sha256) for facts in record.photos),
        ),
    )
    return Document(
        kind=KIND,
        prefix='CR',
        title=owner.title if owner is not None and owner.title else "A piece of art glass",
        subtitle="" if owner is None else owner.subtitle,
        made_at=time_words(made_at or record.made_at),
        source=NamedHash("record", examined.record_sha256),
        blocks=blocks,
    )


def _lead(examined: ExaminedPiece) -> Lead:
    record = examined.record
    contour_px = np.array(record.outline_px, dtype=np.float64)
    plain = reduced(cut_round(examined.rgb_of(record.photo), contour_px, 0.06), PLAIN_PICTURE_PX)
    sizes = record.measurements
    n_photos = len(record.photos)
    rows = [
        *([("Score", score_words(record.grade))] if examined.review is None else score_by_review(examined.review)),
        ("Marks", marks_words(record.marks)),
        (
            "Largest width",
            f"{sizes.diameter_max_px:.0f} px, no millimetres"
            if sizes.diameter_max_mm is None
            else sizes.diameter_max_mm.text,
        ),
        *([("Height", sizes.height_mm.text)] if sizes.height_mm is not None else []),
        ("Examined from", "1 photo" if n_photos == 1 else f"{n_photos} photos"),
        ("Examined when", time_words(record.made_at) or "not stated"),
    ]
    picture = picture_of(plain, f"The piece in photo {record.photo}")
    grade = record.grade if examined.review is None else examined.review.result.grade
    return Lead(picture, grade.headline, Facts(tuple(rows)))
