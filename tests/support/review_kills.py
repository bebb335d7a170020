"""Programs that are killed, or meet a full disk, while they note an entry of a review."""

import os
import random
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

from grader.commands.review_store import RecordAtHand, change_review, record_at, review_of
from grader.review.apply import with_entries
from grader.review.log import appended
from grader.review.review import Review
from tests.support.reviewed import confirm, round_record, said


def reviewed_record(folder: Path) -> RecordAtHand:
    """A record with one entry in its review."""
    path = folder / 'record.json'
    path.write_text(round_record().to_json(), encoding='utf-8')
    at_hand = record_at(path)
    change_review(at_hand, one_more(at_hand))
    return at_hand


def one_more(at_hand: RecordAtHand) -> Callable[[Review], Review]:
    """Change that adds an entry."""

    def change(review: Review) -> Review:
        n_found = len(at_hand.record.marks)
        return with_entries(review, at_hand.record, appended(review.entries, confirm(1), said(), None, n_found))

    return change


def n_entries(at_hand: RecordAtHand) -> int:
    """Number of entries in the review as it lies on the disk, read with all checks."""
    return len(review_of(at_hand).entries)


def fault_at_step(at_hand: RecordAtHand, step: int, fault: Callable[[], None]) -> bool:
    """Have a fault at a step of noting an entry; return whether there was such a step."""
    child = os.fork()
    if child == 0:
        left = [step]

        def watch(event: str, args: object) -> None:
            if event.startswith(('open', 'os.', 'shutil.', 'fcntl.')):
                left[0] -= 1
                if left[0] == 0:
                    fault()

        sys.addaudithook(watch)
        try:
            change_review(at_hand, one_more(at_hand))
        finally:
            os._exit(0 if left[0] > 0 else 1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0


def kill_after_time(at_hand: RecordAtHand, rng: random.Random, most_s: float) -> None:
    """Kill a program that notes an entry after a random time."""
    child = os.fork()
    if child == 0:
        try:
            change_review(at_hand, one_more(at_hand))
        finally:
            os._exit(0)
    time.sleep(rng.uniform(0.0, most_s))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
