"""Kill programs that change a collection, at any moment, and count what they leave.

    python -m tests.benchmark.kill_collection [--kills 1000] [--seed 1]

Fails where anything else than the old or the new state is left.
"""

import argparse
import sys
import tempfile
from pathlib import Path

from tests.support.kills import tally_kills


def main() -> None:
    """Kill and count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--kills', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=1)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tally = tally_kills(Path(folder), args.kills, args.seed)
    print(f'{args.kills} kills: {tally.n_old} old, {tally.n_new} new, {len(tally.faults)} anything else')
    for fault in tally.faults:
        print(f'- {fault}')
    sys.exit(bool(tally.faults))


if __name__ == '__main__':
    main()
