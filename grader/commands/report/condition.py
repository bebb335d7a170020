"""``grader report condition``: the condition report of a piece, from the folder of its examination."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.piece_folder import read_piece
from grader.commands.options import Force, Verbose
from grader.commands.report.options import (
    HtmlOption,
    PaperOption,
    PdfOption,
    PhotosOption,
    PieceOption,
    WhenOption,
    check_wanted,
    write_report,
)
from grader.commands.report.sources import file_bytes, photo_files, photos_of
from grader.commands.results import RECORD_NAME
from grader.commands.review_store import RecordAtHand, record_at, review_of
from grader.documents.condition import condition_report
from grader.documents.examined import ExaminedPiece
from grader.documents.owner_facts import object_facts
from grader.documents.review_part import ReviewAtHand
from grader.evidence.hashing import sha256_of
from grader.review.apply import apply_review


def condition(
    examination: Annotated[Path, typer.Argument(metavar='FOLDER', help="Folder that \"grader examine --out\" wrote.")],
    out: PdfOption,
    html: HtmlOption = None,
    paper: PaperOption = 'a4',
    photos: PhotosOption = None,
    piece: PieceOption = None,
    when: WhenOption = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Write the condition report of an examined piece.

    Size, marks with close-ups, grade, what could not be seen, how it was examined. The photos are looked for beside
    the record, in the folder around it and in --photos, and must be those that were examined.
    """
    examined, paths = examined_piece(examination, photos or ())
    made_at = check_wanted(out, html, paper, when, force=force, keep=paths)
    owner = None if piece is None else object_facts(read_piece(piece).piece)
    write_report(condition_report(examined, owner, made_at), out, html, paper, force=force, keep=paths)


def examined_piece(folder: Path, photo_folders: Sequence[Path]) -> tuple[ExaminedPiece, list[Path]]:
    """Examination in a folder, or of a record's file, with its photos and review; and all files it is made of.

    Raises
    ------
    RecordUnreadable
        If the record or the review cannot be read.
    PhotoSetUnusable
        If photos are missing or changed.
    """
    at_hand = record_at(folder / RECORD_NAME if folder.is_dir() else folder)
    record, path = at_hand.record, at_hand.path
    paths = photo_files(record.photos, path.parent, photo_folders)
    photos = photos_of(paths, record.photos, record.settings.photos)
    examined = ExaminedPiece(record, at_hand.sha256, photos, _review(at_hand))
    return examined, [path, at_hand.review_path, *paths]


def _review(at_hand: RecordAtHand) -> ReviewAtHand | None:
    """Review beside the record, where something is said in it."""
    if not at_hand.review_path.exists():
        return None
    review = review_of(at_hand)
    if not review.entries:
        return None
    sha256 = sha256_of(file_bytes(at_hand.review_path, "review"))
    return ReviewAtHand(review, apply_review(at_hand.record, review), sha256)
