"""How often people who reviewed records agree with the program, mark by mark.

    python -m tests.benchmark.reviewed_records FOLDER

FOLDER holds, however deep, records with a ``review.json`` beside them in which **every** mark was spoken of (confirmed,
rejected, relabelled or redrawn) and what was missed was added; others are listed and left out, since silence is no
label. Sealed examinations count too. Prints figures by kind, and how sure the program was of what was rejected.
"""

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from calib.errors import ActionableError
from grader.commands.review_store import record_at, review_of
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.review.review import ReviewedMark

KINDS = ('scratch', 'chip', 'bubble', 'bruise', 'dust')


@dataclass(slots=True)
class Agreement:
    """What is counted over all records."""

    n_records: int = 0
    found: Counter[str] = field(default_factory=Counter)
    """Reported marks that are there, by the person's kind."""
    kind_right: Counter[str] = field(default_factory=Counter)
    missed: Counter[str] = field(default_factory=Counter)
    """Marks that the person added, or confirmed of those that were not reported."""
    false: Counter[str] = field(default_factory=Counter)
    """Reported marks that are not there, by the program's kind."""
    said: list[tuple[float, bool]] = field(default_factory=list)
    """How sure the program was of each mark, and whether it is there."""

    def add(self, mark: ReviewedMark) -> None:
        """Count one mark."""
        if mark.status == 'added' or mark.found_confidence is None:
            self.missed[mark.mark.kind] += 1
            return
        is_there = mark.status == 'confirmed'
        self.said.append((mark.found_confidence, is_there))
        reported = mark.found_confidence >= REPORTED_CONFIDENCE
        if not is_there:
            self.false[str(mark.found_kind)] += reported
        elif reported:
            self.found[mark.mark.kind] += 1
            self.kind_right[mark.mark.kind] += mark.mark.kind == mark.found_kind
        else:
            self.missed[mark.mark.kind] += 1

    def words(self) -> str:
        """The figures as a table."""
        lines = [f'records that are reviewed whole: {self.n_records}', 'kind      found  missed  false  kind right']
        for kind in KINDS:
            lines.append(
                f'{kind:8} {self.found[kind]:6d} {self.missed[kind]:7d} {self.false[kind]:6d} {self.kind_right[kind]:11d}'
            )
        for low, high in ((0.0, 0.5), (0.5, 0.8), (0.8, 1.01)):
            inside = [there for sure, there in self.said if low <= sure < high]
            if inside:
                lines.append(f'given {low:.1f} to {min(high, 1):.1f}: {sum(inside)} of {len(inside)} are there')
        return '\n'.join(lines)


def count_folder(folder: Path) -> tuple[Agreement, list[str]]:
    """Counts over all records of a folder that are reviewed whole, and why the others are left out."""
    agreement, left_out = Agreement(), []
    for path in sorted(_records(folder)):
        try:
            marks = review_of(record_at(path)).result.marks
        except ActionableError as err:
            left_out.append(f'{path}: {err.problem}')
            continue
        silent = [mark.number for mark in marks if mark.status == 'not reviewed']
        if silent:
            left_out.append(f'{path}: nothing is said of {", ".join(map(str, silent))}')
            continue
        agreement.n_records += 1
        for mark in marks:
            agreement.add(mark)
    return agreement, left_out


def _records(folder: Path) -> Iterator[Path]:
    return (path.with_name('record.json') for path in folder.rglob('review.json') if path.is_file())


def main() -> None:
    """Read the command line, count, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument('folder', type=Path)
    agreement, left_out = count_folder(ask.parse_args().folder)
    print(agreement.words())
    for words in left_out:
        print('left out:', words)


if __name__ == '__main__':
    main()
