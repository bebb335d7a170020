"""``grader report journey`` and ``grader report purchase``: reports from the folder of a comparison."""

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.piece_folder import read_piece
from grader.commands.compare import COMPARISON_NAME
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
from grader.comparison import COMPARISON_FILE, SideFacts
from grader.documents.compared import ComparedPiece
from grader.documents.handover import Additions, handover_report
from grader.documents.handover_words import BEFORE_AFTER, PURCHASE, HandoverWords
from grader.documents.owner_facts import object_facts
from grader.documents.time_line import event_from
from grader.evidence.hashing import sha256_of
from grader.photos.load import Photo, load_photo
from grader.settings import Settings

ComparisonArgument = Annotated[
    Path, typer.Argument(metavar='FOLDER', help="Folder that \"grader compare --out\" wrote.")
]
EventOption = Annotated[
    list[str] | None,
    typer.Option(
        '--event',
        metavar='"DATE WORDS"',
        help="Something for the time line, such as \"2026-03-02 handed to the carrier\"; may be given several times.",
    ),
]
PackingOption = Annotated[
    list[Path] | None,
    typer.Option('--packing', metavar='PHOTO', help="A photo of the packaging; may be given several times."),
]


def journey(
    comparison: ComparisonArgument,
    out: PdfOption,
    html: HtmlOption = None,
    event: EventOption = None,
    packing: PackingOption = None,
    paper: PaperOption = 'a4',
    photos: PhotosOption = None,
    piece: PieceOption = None,
    when: WhenOption = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Write what a journey changed, for a carrier or insurer.

    Whether it is the same piece, what changed, whether it could have been seen before, time line, packaging, and the
    usual steps.
    """
    _write(BEFORE_AFTER, comparison, out, html, event, packing, paper, photos, piece, when, force=force)


def purchase(
    comparison: ComparisonArgument,
    out: PdfOption,
    html: HtmlOption = None,
    event: EventOption = None,
    packing: PackingOption = None,
    paper: PaperOption = 'a4',
    photos: PhotosOption = None,
    piece: PieceOption = None,
    when: WhenOption = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Write how a piece that arrived differs from its listing.

    Whether it is the piece of the listing, the stated size against the measured one, and what the listing's photos
    could have shown.
    """
    _write(PURCHASE, comparison, out, html, event, packing, paper, photos, piece, when, force=force)


def _write(
    words: HandoverWords,
    folder: Path,
    out: Path,
    html: Path | None,
    event: Sequence[str] | None,
    packing: Sequence[Path] | None,
    paper: str,
    photos: Sequence[Path] | None,
    piece: Path | None,
    when: str,
    *,
    force: bool,
) -> None:
    events = tuple(event_from(text) for text in event or ())
    compared, paths = compared_piece(folder, photos or ())
    keep = [*paths, *(packing or ())]
    made_at = check_wanted(out, html, paper, when, force=force, keep=keep)
    added = Additions(
        owner=None if piece is None else object_facts(read_piece(piece).piece),
        events=events,
        packing=tuple(load_photo(path, Settings().photos) for path in packing or ()),
        made_at=made_at,
    )
    write_report(handover_report(compared, words, added), out, html, paper, force=force, keep=keep)


def compared_piece(folder: Path, photo_folders: Sequence[Path]) -> tuple[ComparedPiece, list[Path]]:
    """Comparison in a folder, or of a comparison's file, with its photos; and all files it is made of.

    Raises
    ------
    RecordUnreadable
        If the comparison cannot be read.
    PhotoSetUnusable
        If photos are missing or changed.
    """
    path = folder / COMPARISON_NAME if folder.is_dir() else folder
    data = file_bytes(path, "comparison")
    comparison = COMPARISON_FILE.from_bytes(data, path.name)
    found: list[Path] = []
    sides: list[tuple[Photo, ...]] = []
    for side in (comparison.before, comparison.after):
        paths, photos = _side(side, path.parent, photo_folders)
        found += paths
        sides.append(photos)
    return ComparedPiece(comparison, sha256_of(data), sides[0], sides[1]), [path, *found]


def _side(side: SideFacts, folder: Path, photo_folders: Sequence[Path]) -> tuple[list[Path], tuple[Photo, ...]]:
    named = [one.photo for one in side.photos]
    paths = photo_files(named, folder, photo_folders)
    return paths, photos_of(paths, named, side.settings.photos)
