"""Give the program damaged and hostile photos and records, and see how it answers.

    python -m tests.benchmark.bad_input --photos 1000 --records 1000 --seed 7 [--keep FOLDER]

Each input is read by the real command, in a process of its own with 3 GiB of address space and 10 seconds. Prints how
many inputs there were, the exit codes, the slowest, the most memory and all faults; ends with 1 if there are any.
Records are damaged by a hunt that keeps what reaches new lines of the program. The same seed gives the same inputs.
"""

import argparse
import importlib
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from grader.cli import COMMANDS, CommandPlace, GroupPlace
from grader.opencv_pin import pin_opencv
from tests.support.bad_input.hunt import hunt
from tests.support.bad_input.judge import Judged
from tests.support.bad_input.photo_cases import photo_answers


class Tally:
    """What was seen so far."""

    def __init__(self, name: str, keep: Path | None) -> None:
        self.name, self.keep = name, keep
        self.codes: Counter[int] = Counter()
        self.families: Counter[str] = Counter()
        self.n = self.n_faulty = 0
        self.slowest = (0.0, '')
        self.most = (0, '')

    def add(self, judged: Judged) -> None:
        """Count one answer, and tell it if it is faulty."""
        self.n += 1
        self.codes[judged.run.code] += 1
        self.families[judged.case.family] += 1
        self.slowest = max(self.slowest, (judged.run.seconds, judged.case.family))
        self.most = max(self.most, (judged.run.peak_bytes, judged.case.family))
        if judged.faults:
            self.n_faulty += 1
            print(f'{self.name} {self.n}, {judged.case.family}: {"; ".join(judged.faults)}')
            print(f'    {" ".join(judged.case.args)}\n    {judged.run.err.strip()[-600:]!r}', flush=True)
            if self.keep:
                _write(self.keep / f'{self.name}-{self.n:04}', judged)

    def tell(self) -> None:
        """Print the sums."""
        codes = ', '.join(f'{code}: {n}' for code, n in sorted(self.codes.items()))
        print(f'{self.n} {self.name}, {len(self.families)} kinds of damage; exit codes {codes}')
        print(f'  slowest {self.slowest[0]:.1f} s ({self.slowest[1]}); most memory {self.most[0] / 2**20:.0f} MiB'
              f' ({self.most[1]}); {self.n_faulty} faulty')  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--photos', type=int, default=1000)
    parser.add_argument('--records', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=7)
    parser.add_argument('--keep', type=Path, help="folder for the inputs that were not taken well")
    args = parser.parse_args()
    _load_all_commands()
    start, faulty = time.perf_counter(), 0
    photos, records = Tally('photos', args.keep), Tally('records', args.keep)
    for judged in photo_answers(args.photos, args.seed):
        photos.add(judged)
    n_lines = n_new = 0
    for judged, new in hunt(args.records, args.seed):
        records.add(judged)
        n_lines, n_new = n_lines + new, n_new + (new > 0)
    for tally in (photos, records):
        tally.tell()
        faulty += tally.n_faulty
    print(f'  {n_new} records reached {n_lines} lines that no earlier one had')
    print(f'{time.perf_counter() - start:.0f} s')
    sys.exit(bool(faulty))


def _load_all_commands() -> None:
    """Load what the commands need once, before they are run in copies of this process."""
    pin_opencv()
    for place in _places(COMMANDS.values()):
        importlib.import_module(place.module)


def _places(places: object) -> Iterator[CommandPlace]:
    for place in places:
        if isinstance(place, GroupPlace):
            yield from place.commands.values()
        elif place.function != 'serve':
            yield place


def _write(folder: Path, judged: Judged) -> None:
    for path, data in judged.case.files.items():
        place = folder / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)


if __name__ == '__main__':
    main()
