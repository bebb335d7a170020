"""Pieces with examinations, written as plain folders: thousands of them in seconds, and without any photo."""

import hashlib
from pathlib import Path

from grader.collection.import_faults import Candidate
from grader.collection.import_plan import carry_out, plan_import
from grader.collection.lock import locked
from grader.collection.place import CollectionPlace
from grader.record import GradingRecord
from grader.review.apply import new_review, with_entries
from grader.review.review import Review
from tests.support.invented_pieces import invented_fields
from tests.support.reviewed import found_mark, log_of, reject, round_record

N_EXAMINATIONS = 3


def import_pieces(place: CollectionPlace, n_pieces: int) -> None:
    """Import so many pieces."""
    candidates = [Candidate(k + 2, fields) for k, fields in enumerate(invented_fields(n_pieces))]
    with locked(place, 'test'):
        plan, faults = plan_import(candidates, ())
        assert not faults
        carry_out(place, plan)


def large_record() -> GradingRecord:
    """Record of the usual size of a set's: some 150,000 bytes."""
    marks = tuple(found_mark(k, 'scratch', 0.6, 0.5, 4.0) for k in range(1, 160))
    return round_record(marks=marks)


def add_examinations(place: CollectionPlace, n_each: int = N_EXAMINATIONS) -> None:
    """Give each piece examinations of 2024, 2025 and so on."""
    text = large_record().to_json()
    for k, folder in enumerate(sorted(path for path in place.pieces.iterdir() if path.is_dir())):
        for number in range(1, n_each + 1):
            day = f'{2023 + number}-{1 + k % 12:02}-{1 + k % 28:02}'
            target = folder / 'examinations' / f'{number:04}-{day}'
            target.mkdir(parents=True)
            dated = text.replace('"made_at": ""', f'"made_at": "{day}T10:00:00"')
            (target / 'record.json').write_text(dated, encoding='utf-8')


def put_examination(piece_folder: Path, name: str, record: GradingRecord) -> Path:
    """Write an examination's folder; return its record."""
    path = piece_folder / 'examinations' / name / 'record.json'
    path.parent.mkdir(parents=True)
    path.write_text(record.to_json(), encoding='utf-8')
    return path


def put_review(record_file: Path, record: GradingRecord, *numbers: int) -> Review:
    """Write a review that rejects marks."""
    digest = hashlib.sha256(record_file.read_bytes()).hexdigest()
    review = with_entries(
        new_review(record, record_file.name, digest), record, log_of(record, *(reject(number) for number in numbers))
    )
    record_file.with_name('review.json').write_text(review.to_json(), encoding='utf-8')
    return review
