"""Reports of a stored examination or comparison, as files: made by the functions of ``grader report``."""

from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from grader.collection.comparisons import COMPARISON_FILE_NAME
from grader.collection.examinations import StoredExamination
from grader.collection.piece_folder import read_piece
from grader.commands.report.condition import examined_piece
from grader.commands.report.handover import compared_piece
from grader.commands.seal_store import photo_folders, subject_in
from grader.documents.blocks import Document
from grader.documents.condition import condition_report
from grader.documents.handover import Additions, handover_report
from grader.documents.handover_words import BEFORE_AFTER, PURCHASE, HandoverWords
from grader.documents.html_write import html_of
from grader.documents.owner_facts import object_facts
from grader.documents.pdf_write import pdf_of
from grader.errors import RecordUnreadable
from grader.progress import Progress

Form = Literal['pdf', 'html']

MEDIA_TYPES: Mapping[Form, str] = {'pdf': 'application/pdf', 'html': 'text/html; charset=utf-8'}

HANDOVERS: Mapping[str, HandoverWords] = {'journey': BEFORE_AFTER, 'purchase': PURCHASE}
"""Reports of a comparison by their names in addresses."""

PAPER = 'a4'

_WORDS = {'condition': "condition report {}", 'journey': "before and after {}", 'purchase': "listing and arrival {}"}


def report_words(name: str, number: int) -> str:
    """Name of a report of an examination or a comparison, for its file."""
    return _WORDS[name].format(number)


def condition_file(progress: Progress, piece_folder: Path, number: int, form: Form) -> bytes:
    """Condition report of an examination, with its review.

    Raises
    ------
    ActionableError
        If the examination cannot be read, or its photos are not there.
    """
    folder = subject_in(piece_folder, 'examination', number).folder
    record = StoredExamination(number, folder).record_file()
    if record is None:
        raise RecordUnreadable(
            f"Examination {number}: there is no record.json in its folder, or more than one.",
            "Take the folder back from a copy, or examine the photos again.",
        )
    examined, _ = examined_piece(record, photo_folders(piece_folder))
    return _written(condition_report(examined, object_facts(read_piece(piece_folder).piece), ''), form)


def handover_file(progress: Progress, piece_folder: Path, number: int, name: str, form: Form) -> bytes:
    """Report of a comparison; `name` is one of `HANDOVERS`.

    Raises
    ------
    ActionableError
        If the comparison cannot be read, or its photos are not there.
    """
    folder = subject_in(piece_folder, 'comparison', number).folder
    compared, _ = compared_piece(folder / COMPARISON_FILE_NAME, photo_folders(piece_folder))
    added = Additions(owner=object_facts(read_piece(piece_folder).piece))
    return _written(handover_report(compared, HANDOVERS[name], added), form)


def _written(document: Document, form: Form) -> bytes:
    return pdf_of(document, PAPER) if form == 'pdf' else html_of(document).encode()
