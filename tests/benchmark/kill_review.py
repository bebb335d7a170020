"""Kill programs that note entries of a review, after random times, and count what they leave.

    python -m tests.benchmark.kill_review [--kills 1000] [--seed 1]

Fails where anything else than the old or the new review is left.
"""

import argparse
import random
import sys
import tempfile
import time
from pathlib import Path

from calib.errors import ActionableError
from grader.commands.review_store import change_review
from tests.support.review_kills import kill_after_time, n_entries, one_more, reviewed_record

MOST_ENTRIES = 20
"""Then begun anew, since each entry makes the review longer."""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--kills', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=1)
    args = parser.parse_args()
    rng, old, new, faults = random.Random(args.seed), 0, 0, 0
    with tempfile.TemporaryDirectory() as name:
        for k in range(args.kills):
            if k % MOST_ENTRIES == 0:
                folder = Path(name) / str(k)
                folder.mkdir()
                at_hand = reviewed_record(folder)
                start = time.perf_counter()
                change_review(at_hand, one_more(at_hand))
                whole_s = time.perf_counter() - start
            before = n_entries(at_hand)
            kill_after_time(at_hand, rng, 1.5 * whole_s)
            try:
                step = n_entries(at_hand) - before
            except ActionableError as err:
                print(err)
                step = -1
            old, new, faults = old + (step == 0), new + (step == 1), faults + (step not in (0, 1))
    print(f'{args.kills} kills: {old} old, {new} new, {faults} anything else')
    sys.exit(bool(faults))


if __name__ == '__main__':
    main()
