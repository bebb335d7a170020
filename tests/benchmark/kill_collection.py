"""Kill programs that change a collection, at any moment, and count what they leave.

    python -m tests.benchmark.kill_collection [--kills 1000] [--seed 1] [--each-step]

With ``--each-step`` instead at each of the moments, one after another, at which it asks the system for something; then
again with a disk that is full at that moment.

Fails where anything else than the old or the new state is left.
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from tests.support.kills import Tally, fill_disk, kill_now, tally_kills, tally_steps


def main() -> None:
    """Kill and count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--kills', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--each-step', action='store_true')
    args = parser.parse_args()
    if args.each_step:
        faults = [*each_step('killed', kill_now), *each_step('disk full', fill_disk)]
    else:
        with tempfile.TemporaryDirectory() as folder:
            tally = tally_kills(Path(folder), args.kills, args.seed)
        faults = told(f'{args.kills} kills', tally)
    sys.exit(bool(faults))


def each_step(name: str, fault: Callable[[], None]) -> Sequence[str]:
    """Faults at each step in turn; return what is wrong after them."""
    with tempfile.TemporaryDirectory() as folder:
        tally = tally_steps(Path(folder), fault)
    return told(f'{name} at each of {tally.n_old + tally.n_new} steps', tally)


def told(name: str, tally: Tally) -> Sequence[str]:
    """Print a tally."""
    print(f'{name}: {tally.n_old} old, {tally.n_new} new, {len(tally.faults)} anything else')
    for fault in tally.faults:
        print(f'- {fault}')
    return tally.faults


if __name__ == '__main__':
    main()
