"""Run a bad input and say what is wrong with the answer."""

import tempfile
from dataclasses import dataclass
from pathlib import Path
from unicodedata import category

from tests.support.bad_input.case import BadCase
from tests.support.bad_input.watch import CRASHED, LIMIT_S, LIMIT_WAITING_S, Watched, watch

LONGEST_MESSAGE = 5000
"""Letters of a message of failure; a list of many faults apart, nobody reads more."""
MOST_RESIDENT_BYTES = 1 << 30
"""Most memory that any of these inputs may take."""
CODES_WITHOUT_MESSAGE = (0, 21)
"""Done; and "grader check" whose table says what is wrong with the photos."""
CODES_WITH_LISTS = (8, 13)
"""Bags and imports, of which all faults are listed."""


@dataclass(frozen=True)
class Judged:
    """An answer, and what is wrong with it."""

    case: BadCase
    run: Watched
    faults: tuple[str, ...]


def run_case(case: BadCase, traced: frozenset[str] = frozenset()) -> Judged:
    """Run a bad input in a folder of its own."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path, data in case.files.items():
            place = folder / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        before = {path: (folder / path).stat().st_mtime_ns for path in case.files}
        run = watch(case.args, folder, traced)
        faults = (*_faults_of_run(case, run), *_faults_of_files(case, run, folder, before))
    return Judged(case, run, faults)


def _faults_of_run(case: BadCase, run: Watched) -> list[str]:
    if run.ended_by in ('SIGXCPU', 'SIGALRM'):
        return [
            f'not done after {LIMIT_S} s of work' if run.ended_by == 'SIGXCPU' else f'waits for {LIMIT_WAITING_S} s'
        ]
    faults = []
    if run.code == CRASHED:
        faults.append(f'ended by {run.ended_by}')
    elif run.code not in case.codes:
        faults.append(f'code {run.code} instead of {sorted(case.codes)}')
    if 'Traceback' in run.err or 'Warning:' in run.err:
        faults.append('a traceback or a warning of a library')
    if run.peak_bytes > MOST_RESIDENT_BYTES:
        faults.append(f'{run.peak_bytes / 2**20:.0f} MiB')
    if run.code not in (CRASHED, *CODES_WITHOUT_MESSAGE):
        faults += _faults_of_message(case, run)
    for stream, text in (('result', run.out), ('message', run.err)):
        if '--json' not in case.args and any(category(sign) in ('Cc', 'Cs') and sign not in '\n\t' for sign in text):
            faults.append(f'control signs in the {stream}')
    return faults


def _faults_of_message(case: BadCase, run: Watched) -> list[str]:
    text, faults = run.err.strip(), []
    if not any(name in text for name in case.told):
        faults.append('the message does not name the file')
    if not text.endswith('.') or text.count('. ') + text.count('.\n') + text.count('\n') == 0:
        faults.append('the message names no remedy')
    if len(text) > LONGEST_MESSAGE and run.code not in CODES_WITH_LISTS:
        faults.append(f'a message of {len(text):,} letters')
    return faults


def _faults_of_files(case: BadCase, run: Watched, folder: Path, before: dict[str, int]) -> list[str]:
    faults, done = [], run.code == 0
    for path, data in case.files.items():
        place = folder / path
        same = place.is_file() and place.read_bytes() == data and place.stat().st_mtime_ns == before[path]
        if not same and not (done and path in case.may_change):
            faults.append(f'{path} was changed')
    may_make = case.may_make if done else tuple(one for one in case.may_make if one.startswith('glass/.grader/'))
    for place in folder.rglob('*'):
        path = place.relative_to(folder).as_posix()
        known = path in case.files or any(one.startswith(f'{path}/') for one in case.files)
        if not known and not any(path.startswith(one) or one.startswith(f'{path}/') for one in may_make):
            faults.append(f'{path} was left behind')
    return faults
