"""``grader report schedule``: all pieces of a collection with their values, for the insurer."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from grader.collection.examinations import examinations_of
from grader.collection.index import SORT_ORDERS, index_for_reading
from grader.collection.piece import PIECE_FILE
from grader.collection.piece_folder import PHOTOS_FOLDER, StoredPiece, read_piece
from grader.collection.place import CollectionPlace
from grader.commands.collection.options import CollectionOption, place_from
from grader.commands.options import Force, Verbose
from grader.commands.report.options import HtmlOption, PaperOption, PdfOption, WhenOption, check_wanted, write_report
from grader.commands.report.thumbs import NoThumb, thumb_of
from grader.documents.blocks import Document, Picture
from grader.documents.schedule import ScheduleEntry, ScheduleWishes, schedule_report
from grader.documents.shared_parts import time_words
from grader.errors import CollectionUnreadable, RecordUnreadable, SettingsInvalid
from grader.photos.load import PHOTO_SUFFIXES
from grader.record import GradingRecord, read_record


@dataclass(frozen=True, slots=True)
class MadeSchedule:
    """A schedule, and what could not be read for it."""

    document: Document
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Found:
    """An entry, and what could not be read for it."""

    entry: ScheduleEntry
    faults: tuple[str, ...]


def schedule(
    out: PdfOption,
    html: HtmlOption = None,
    collection: CollectionOption = None,
    owner: Annotated[str, typer.Option('--owner', metavar='NAME', help="Name to put on it.")] = '',
    places: Annotated[bool, typer.Option('--places', help="Say where each piece is kept.")] = False,
    sort: Annotated[
        str, typer.Option('--sort', metavar='ORDER', help=f"Order of the list: {', '.join(SORT_ORDERS)}.")
    ] = 'inventory',
    paper: PaperOption = 'a4',
    when: WhenOption = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Write a list of the collection with values, for the insurer.

    A small photo of each piece, its description, size and condition by its latest examination, and exact totals by
    currency.
    """
    if sort not in SORT_ORDERS:
        raise SettingsInvalid(f"--sort {sort}: there is no such order.", f"Orders are {', '.join(SORT_ORDERS)}.")
    made_at = check_wanted(out, html, paper, when, force=force, keep=())
    made = make_schedule(place_from(collection), ScheduleWishes(owner, places, made_at), sort)
    write_report(made.document, out, html, paper, force=force, keep=())
    for fault in made.faults:
        typer.echo(f"Please note: {fault}", err=True)


def make_schedule(place: CollectionPlace, wishes: ScheduleWishes, sort: str) -> MadeSchedule:
    """Return the schedule of a collection, in one of the index's orders.

    Raises
    ------
    CollectionUnreadable
        If a piece cannot be read.
    """
    with index_for_reading(place, 'report') as index:
        folders, unreadable = [row.folder for row in index.rows(sort=sort)], index.faults()
    if unreadable:
        raise CollectionUnreadable(
            "Not all pieces can be read, and a schedule must not leave any out:\n"
            + ''.join(f"- {fault}\n" for fault in unreadable),
            "Mend these first.",
        )
    found = [_found(read_piece(place.pieces / folder)) for folder in folders]
    entries = tuple(one.entry for one in found)
    report = schedule_report(entries, _source_hash(entries), wishes)
    return MadeSchedule(report, tuple(fault for one in found for fault in one.faults))


def _source_hash(entries: tuple[ScheduleEntry, ...]) -> str:
    """Hash over the hashes of all pieces, in the order of their ids."""
    lines = sorted(f'{entry.piece.id} {entry.piece_sha256}\n' for entry in entries)
    return hashlib.sha256(''.join(lines).encode()).hexdigest()


def _found(stored: StoredPiece) -> _Found:
    sha256 = hashlib.sha256((stored.folder / PIECE_FILE).read_bytes()).hexdigest()
    picture, photo_faults = _picture(stored)
    condition, record_faults = _condition(stored.folder)
    return _Found(ScheduleEntry(stored.piece, sha256, picture, condition), (*photo_faults, *record_faults))


def _picture(stored: StoredPiece) -> tuple[Picture | None, tuple[str, ...]]:
    """The first photo of a piece that can be read, and a line for each that cannot."""
    faults: list[str] = []
    for path in _photos(stored):
        thumb = thumb_of(path, f"Photo of {stored.piece.title or stored.piece.id}")
        if not isinstance(thumb, NoThumb):
            return thumb, tuple(faults)
        faults.append(f"{stored.folder.name}: {path.name}: {thumb.reason}")
    return None, tuple(faults)


def _photos(stored: StoredPiece) -> Iterator[Path]:
    """Photos of a piece: those that it names, then those of its latest examinations."""
    for photo in stored.piece.photos:
        yield stored.folder / PHOTOS_FOLDER / photo.file
    for one in reversed(examinations_of(stored.folder)):
        for folder in (one.folder / PHOTOS_FOLDER, one.folder / 'data' / PHOTOS_FOLDER):
            if folder.is_dir():
                yield from sorted(path for path in folder.iterdir() if path.suffix.lower() in PHOTO_SUFFIXES)


def _condition(folder: Path) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Size and condition by the latest examination that can be read, and a line for each that cannot."""
    faults: list[str] = []
    for one in reversed(examinations_of(folder)):
        path = one.record_file()
        if path is None:
            continue
        try:
            return _condition_lines(read_record(path)), tuple(faults)
        except RecordUnreadable as err:
            faults.append(f"{folder.name}, {one.folder.name}: {err.problem}")
    return (), tuple(faults)


def _condition_lines(record: GradingRecord) -> tuple[str, ...]:
    width, height = record.measurements.diameter_max_mm, record.measurements.height_mm
    examined = f"examined {time_words(record.made_at)}" if record.made_at else "examined, date not stated"
    return (
        *((f"width {width.text.partition(' (')[0]}",) if width is not None else ()),
        *((f"height {height.text.partition(' (')[0]}",) if height is not None else ()),
        f"{record.grade.headline}; {record.grade.score:.0f} of 100",
        examined,
    )
