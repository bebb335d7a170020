"""How fast a large collection is listed and searched.

    python -m tests.benchmark.large_collection [--pieces 10000]

Prints the time of an import, of the index made anew, and of a list and searches: within a running program (what the
limit of 0.2 s is for), and as commands with the start of the program. Fails past the limit.
"""

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from grader.collection.import_faults import Candidate
from grader.collection.import_plan import carry_out, plan_import
from grader.collection.index import index_for_reading
from grader.collection.index_file import drop_index
from grader.collection.lock import locked
from grader.collection.place import CollectionPlace, create_place
from grader.report.collection_table import format_rows
from tests.support.invented_pieces import invented_fields

_LIMIT_S = 0.2
_SEARCHES = (('muller',), ('花',), ('ile', 'perdue', 'dahlia'), ('nothing-like-this',))


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--pieces', type=int, default=10_000)
    n_pieces = parser.parse_args().pieces
    with tempfile.TemporaryDirectory() as folder:
        place = create_place(Path(folder) / 'collection')
        print(f'import of {n_pieces} pieces          {timed(lambda: fill(place, n_pieces)):7.2f} s')
        with locked(place, 'benchmark'):
            drop_index(place)
        print(f'index made anew                 {timed(lambda: rows(place, ())):7.2f} s')
        slowest_s = max(measure(place, words) for words in ((), *_SEARCHES))
        for words in ((), _SEARCHES[0]):
            command_s = statistics.median(timed(lambda words=words: command(place, words)) for _ in range(3))
            print(f'as a command, {told(words):<17} {command_s:7.3f} s, start of the program included')
        print(f'the start alone (--version)     {timed(lambda: grader("--version")):7.3f} s')
    if slowest_s > _LIMIT_S:
        sys.exit(f'slower than {_LIMIT_S} s')


def measure(place: CollectionPlace, words: Sequence[str]) -> float:
    """Median time of a list or a search, with folders compared and the table made."""
    times = [timed(lambda: format_rows(rows(place, words))) for _ in range(7)]
    bare = [timed(lambda: rows(place, words)) for _ in range(15)]
    compare_and_find = statistics.median(bare)
    print(
        f'{told(words):<31} {compare_and_find:7.3f} s (fastest {min(bare):.3f}), '
        f'with the printed table {statistics.median(times):.3f} s ({len(rows(place, words))} pieces)'
    )
    return compare_and_find


def fill(place: CollectionPlace, n_pieces: int) -> None:
    """Import so many pieces."""
    candidates = [Candidate(k + 2, fields) for k, fields in enumerate(invented_fields(n_pieces))]
    with locked(place, 'benchmark'):
        plan, faults = plan_import(candidates, ())
        assert not faults
        carry_out(place, plan)


def rows(place: CollectionPlace, words: Sequence[str]) -> Sequence[Any]:
    """Rows of a list or a search."""
    with index_for_reading(place, 'benchmark') as index:
        return index.rows(words)


def command(place: CollectionPlace, words: Sequence[str]) -> None:
    """List or search as a command."""
    grader('collection', 'search' if words else 'list', *words, '--collection', str(place.root))


def grader(*args: str) -> None:
    """Run a command as a process of its own."""
    subprocess.run([sys.executable, '-m', 'grader', *args], check=True, capture_output=True)


def told(words: Sequence[str]) -> str:
    """Name of a measurement."""
    return f'search {" ".join(words)}' if words else 'list'


def timed(work: Callable[[], object]) -> float:
    """Seconds that some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


if __name__ == '__main__':
    main()
