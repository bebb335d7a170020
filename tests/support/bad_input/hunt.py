"""A hunt for records that the program does not take well: what reaches new lines of code is damaged further."""

import random
from collections.abc import Iterator
from pathlib import Path

import grader
from tests.support.bad_input.judge import Judged, run_case
from tests.support.bad_input.record_cases import all_readers, damaged

LONGEST_KEPT = 300_000
"""Bytes; longer files are not damaged further, lest the hunt gets slow."""
_WATCHED = (
    'record*.py', 'comparison*.py', 'review/*.py', 'collection/*.py', 'commands/review*.py', 'evidence/check*.py',
    'evidence/bag*.py', 'evidence/seal_text.py', 'evidence/manifests.py', 'evidence/chain.py',
)  # fmt: skip


def watched_files() -> frozenset[str]:
    """Files of the program whose lines count."""
    root = Path(grader.__path__[0])
    return frozenset(str(path) for pattern in _WATCHED for path in root.glob(pattern))


def hunt(n_records: int, seed: int) -> Iterator[tuple[Judged, int]]:
    """Answers to damaged files, one after another, each with the number of lines that no earlier one reached.

    The same seed gives the same files on the same version of the program.
    """
    rng, traced = random.Random(seed), watched_files()
    readers = all_readers()
    kept = {reader.name: [reader.files[reader.hit]] for reader in readers}
    reached: set[tuple[str, int]] = set()
    for reader in readers:
        reached |= run_case(reader.case('whole', reader.files[reader.hit]), traced).run.lines
    for k in range(n_records):
        reader = readers[k % len(readers)]
        known = kept[reader.name]
        # The newest half of the time: what has just reached something new is the most promising.
        start = known[-1] if rng.random() < 0.3 else rng.choice(known)
        family, data = damaged(rng, reader, start)
        judged = run_case(reader.case(family, data), traced)
        new = judged.run.lines - reached
        reached |= new
        if new and len(data) <= LONGEST_KEPT:
            known.append(data)
        yield judged, len(new)
