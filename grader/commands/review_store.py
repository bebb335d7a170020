"""A record and its review on the disk: read, and written whole or not at all, by one program at a time."""

import hashlib
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from grader.errors import OutputNotWritable, RecordUnreadable
from grader.output import new_file
from grader.record import GradingRecord, record_from_bytes
from grader.record_parts import file_bytes, reckoning_with
from grader.review.apply import new_review, with_entries
from grader.review.log import check_log
from grader.review.review import REVIEW_FILE, Review

_BAG_SIGN = 'bagit.txt'


@dataclass(frozen=True, slots=True)
class RecordAtHand:
    """A record, and where its review is or will be."""

    path: Path
    """File of the record."""
    record: GradingRecord
    """The record."""
    sha256: str
    """Of its bytes."""
    review_path: Path
    """File of the review, which need not be there yet."""


def record_at(path: Path, review_path: Path | None = None) -> RecordAtHand:
    """Record with the place of its review: "review.json" beside "record.json", "NAME.review.json" beside "NAME.json".

    Raises
    ------
    RecordUnreadable
        If the record cannot be read.
    """
    data = file_bytes(path, "record")
    usual = path.with_name('review.json' if path.stem == 'record' else f'{path.stem}.review.json')
    digest = hashlib.sha256(data).hexdigest()
    return RecordAtHand(path, record_from_bytes(data, path.name), digest, review_path or usual)


def review_of(at_hand: RecordAtHand) -> Review:
    """Review of a record; one in which nothing is said where there is none on the disk.

    Raises
    ------
    RecordUnreadable
        If it cannot be read, is of an unknown version, or is the review of other bytes than the record's.
    """
    return _review_from(at_hand, _bytes_of(at_hand.review_path))


def change_review(at_hand: RecordAtHand, change: Callable[[Review], Review]) -> Review:
    """Change the review on the disk; return what was written.

    One program after another: while one changes it, others wait. A stop at any moment leaves the old review or the new.

    Raises
    ------
    RecordUnreadable
        If the review or the record is not what it was.
    OutputNotWritable
        If it lies in a sealed bag, cannot be written, or was changed by somebody who did not wait.
    """
    _check_outside_bags(at_hand.review_path)
    with _one_at_a_time(at_hand.path):
        before = _bytes_of(at_hand.review_path)
        _check_record_unchanged(at_hand)
        after = change(_review_from(at_hand, before))
        with new_file(at_hand.review_path, force=True, keep=[at_hand.path]) as work:
            with work.open('xb') as file:
                file.write(after.to_json().encode('utf-8'))
                file.flush()
                # On the disk before its name is, lest a power cut leave an empty file under the name.
                os.fsync(file.fileno())
            if _bytes_of(at_hand.review_path) != before:
                raise OutputNotWritable(
                    f"{at_hand.review_path}: another program changed the review just now. Nothing was written.",
                    "Look at it with \"grader review\", and say it again.",
                )
    return after


def _review_from(at_hand: RecordAtHand, data: bytes | None) -> Review:
    if data is None:
        with reckoning_with(at_hand.path.name):
            return new_review(at_hand.record, at_hand.path.name, at_hand.sha256)
    review = REVIEW_FILE.from_bytes(data, at_hand.review_path.name)
    if review.record_sha256 != at_hand.sha256:
        raise RecordUnreadable(
            f"{at_hand.review_path.name}: this is the review of other contents of {review.record} "
            f"(SHA-256 {review.record_sha256[:12]}...) than {at_hand.path.name} has now ({at_hand.sha256[:12]}...).",
            "Bring back the record that was reviewed; or review this one anew in another file, with --review.",
        )
    with reckoning_with(at_hand.review_path.name):
        check_log(review.entries, len(at_hand.record.marks), at_hand.review_path.name)
        # Whatever the file says of the result, it follows from record and log.
        return with_entries(review, at_hand.record, review.entries)


def _bytes_of(path: Path) -> bytes | None:
    return file_bytes(path, "review") if os.path.lexists(path) else None


def _check_record_unchanged(at_hand: RecordAtHand) -> None:
    if record_at(at_hand.path).sha256 != at_hand.sha256:
        raise RecordUnreadable(
            f"{at_hand.path.name}: the record was changed while it was reviewed. Nothing was written.",
            "Look at the record again, and say it again.",
        )


def _check_outside_bags(path: Path) -> None:
    bag = next((folder for folder in path.resolve().parents if (folder / _BAG_SIGN).is_file()), None)
    if bag is not None:
        raise OutputNotWritable(
            f"{path}: this place lies in a sealed bag, {bag.name}, which a review would break.",
            "Give another file with --review, or review the examination's own folder and seal it again.",
        )


@contextmanager
def _one_at_a_time(path: Path) -> Iterator[None]:
    """Wait until no other program holds this file, and hold it. The system lets it go when the program ends.

    Where the system has no such locks (Windows), the comparison right before writing has to do.
    """
    with path.open('rb') as held:
        if find_spec('fcntl') is not None:
            locks = import_module('fcntl')
            locks.flock(held, locks.LOCK_EX)
        yield
