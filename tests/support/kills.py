"""Programs that are killed while they change a collection, and what they leave behind.

Each run copies a small collection, starts one change in a process of its own and kills that: at one of the moments at
which it asks the system for something (open, rename, make a folder), or after a random time. Then the collection is
opened as by the next command, and must be just as before the change or just as after it.
"""

import errno
import hashlib
import os
import random
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from calib.errors import ActionableError
from grader.collection.import_faults import Candidate
from grader.collection.import_plan import carry_out, plan_import
from grader.collection.index import index_for_changing
from grader.collection.lock import locked
from grader.collection.piece_folder import read_piece
from grader.collection.place import CollectionPlace, create_place, open_place
from grader.collection.store import NewPhoto, add_piece, edit_piece, remove_piece
from grader.collection.store_comparison import store_comparison
from grader.collection.store_examination import store_examination
from grader.commands.seal_store import seal_stored, subject_in
from grader.evidence.seal_key import key_from
from tests.support.invented_pieces import invented_fields
from tests.support.sample_comparison import comparison_folder
from tests.support.sample_record import sample_record
from tests.support.sealed_bags import small_examination

_IDS = ('aaaaaaa2', 'aaaaaaa3', 'aaaaaaa4', 'bbbbbbb2', 'bbbbbbb3', 'bbbbbbb4')
State = Mapping[str, str]
Operation = Callable[[CollectionPlace], None]


@dataclass(frozen=True)
class Tally:
    """What a number of kills left."""

    n_old: int
    n_new: int
    faults: tuple[str, ...]
    """Runs that left anything else."""


def add(place: CollectionPlace) -> None:
    """Add a piece with a photo."""
    fields = {**next(invented_fields(1)), 'id': _IDS[3]}
    with index_for_changing(place, 'add') as index:
        add_piece(place, index, fields, [NewPhoto(place.root.parent / 'photo.jpg')])


def edit(place: CollectionPlace) -> None:
    """Change a piece and give it a photo."""
    with locked(place, 'edit'):
        stored = read_piece(_folder(place, _IDS[0]))
        edit_piece(place, stored, {'notes': 'another shelf'}, [NewPhoto(place.root.parent / 'photo.jpg')])


def remove(place: CollectionPlace) -> None:
    """Remove a piece."""
    with locked(place, 'remove'):
        remove_piece(place, _folder(place, _IDS[1]), datetime(2026, 3, 10))


def import_several(place: CollectionPlace) -> None:
    """Change two pieces and add two by one import."""
    fields = list(invented_fields(8))
    rows = [
        {**fields[4], 'id': _IDS[0]},
        {**fields[5], 'id': _IDS[1]},
        {**fields[6], 'id': _IDS[4]},
        {**fields[7], 'id': _IDS[5]},
    ]
    with locked(place, 'import'):
        stored = [read_piece(folder) for folder in sorted(place.pieces.iterdir())]
        plan, faults = plan_import([Candidate(k, row) for k, row in enumerate(rows)], stored)
        assert not faults
        carry_out(place, plan)


def add_examination(place: CollectionPlace) -> None:
    """Store an examination with its photo."""
    source = place.root.parent / 'examination'
    with locked(place, 'add-examination'):
        store_examination(place, _folder(place, _IDS[2]), source, [place.root.parent / 'photo.jpg'])


def add_comparison(place: CollectionPlace) -> None:
    """Store a comparison with its pictures."""
    source = place.root.parent / 'comparison'
    with locked(place, 'add-comparison'):
        store_comparison(place, _folder(place, _IDS[2]), source)


def seal(place: CollectionPlace) -> None:
    """Seal a stored examination with its photos."""
    with locked(place, 'seal'):
        folder = _folder(place, _IDS[0])
        seal_stored(place, folder, subject_in(folder, 'examination', 1), place.root.parent / 'key.pem', None)


OPERATIONS: tuple[Operation, ...] = (add, edit, remove, import_several, add_examination, add_comparison, seal)


def tally_kills(folder: Path, n_kills: int, seed: int) -> Tally:
    """Kill so many programs, and sort what they leave."""
    rng = random.Random(seed)
    base = _make_base(folder)
    before = state_of(base)
    after = [_state_after(folder, base, operation) for operation in OPERATIONS]
    counts: Counter[str] = Counter()
    faults: list[str] = []
    for k in range(n_kills):
        number = k % len(OPERATIONS)
        place = _copy(folder, base)
        kill = _kill_at_event if rng.random() < 0.7 else _kill_after_time
        told = kill(OPERATIONS[number], place, rng)
        if rng.random() < 0.3:
            told += ', then ' + _kill_at_event(_open, place, rng)
        try:
            _open(place)
            left = state_of(place)
        except Exception as err:
            faults.append(f'{OPERATIONS[number].__name__}, {told}: {type(err).__name__}: {err}')
            continue
        kept = 'old' if left == before else 'new' if left == after[number] else 'other'
        counts[kept] += 1
        if kept == 'other' or list(place.work.iterdir()):
            faults.append(f'{OPERATIONS[number].__name__}, {told}: left {sorted(left)}')
    return Tally(counts['old'], counts['new'], tuple(faults))


def tally_steps(folder: Path, fault: Callable[[], None]) -> Tally:
    """Have a fault at each step of each change in turn, and sort what is left: `fault` kills, or raises."""
    base = _make_base(folder)
    before = state_of(base)
    counts: Counter[str] = Counter()
    faults: list[str] = []
    for operation in OPERATIONS:
        after = _state_after(folder, base, operation)
        at, is_over = 0, False
        while not is_over:
            at += 1
            place = _copy(folder, base)
            status = _run_apart(operation, place, at, fault)
            is_over = status == 0
            _open(place)
            left = state_of(place)
            kept = 'old' if left == before else 'new' if left == after else 'other'
            counts[kept] += 1
            if kept == 'other' or status == _WITHOUT_WORDS or list(place.work.iterdir()):
                faults.append(f'{operation.__name__}, step {at}, status {status}: {kept}, {sorted(left)}')
    return Tally(counts['old'], counts['new'], tuple(faults))


def kill_now() -> None:
    """End as by a cut of the power."""
    os.kill(os.getpid(), signal.SIGKILL)


def fill_disk() -> None:
    """Fail as a full disk does."""
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


_TOLD, _WITHOUT_WORDS = 2, 1


def _run_apart(operation: Operation, place: CollectionPlace, at: int, fault: Callable[[], None]) -> int:
    """Exit status of an operation with a fault at one step: 0 when it ended before that step."""
    child = os.fork()
    if child == 0:
        try:
            left = _count_down(at, fault)
            operation(place)
            os._exit(0 if left[0] > 0 else _TOLD)
        except ActionableError:
            os._exit(_TOLD)
        except BaseException as err:
            sys.stderr.write(f'{operation.__name__}, step {at}: {type(err).__name__}: {err}\n')
            os._exit(_WITHOUT_WORDS)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def state_of(place: CollectionPlace) -> State:
    """Each file of the pieces and the trash, with its hash."""
    tops = (place.pieces, place.trash)
    files = (path for top in tops for path in sorted(top.rglob('*')) if path.is_file())
    return {str(path.relative_to(place.root)): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def _make_base(folder: Path) -> CollectionPlace:
    place = create_place(folder / 'base' / 'collection')
    (folder / 'photo.jpg').write_bytes(bytes(range(256)) * 200)
    shutil.copy(folder / 'photo.jpg', folder / 'base' / 'photo.jpg')
    (folder / 'base' / 'examination').mkdir()
    (folder / 'base' / 'examination' / 'record.json').write_text(sample_record().to_json(), encoding='utf-8')
    comparison_folder(folder / 'base' / 'comparison')
    for one_id, fields in zip(_IDS, list(invented_fields(3)), strict=False):
        with index_for_changing(place, 'test') as index:
            add_piece(place, index, {**fields, 'id': one_id}, [])
    looked = small_examination(folder / 'examined' / 'look')
    with locked(place, 'test'):
        store_examination(
            place, _folder(place, _IDS[0]), looked, [folder / 'examined' / name for name in ('a.jpg', 'b.jpg')]
        )
    key_from(folder / 'base' / 'key.pem')
    return place


def _copy(folder: Path, base: CollectionPlace) -> CollectionPlace:
    shutil.rmtree(folder / 'run', ignore_errors=True)
    shutil.copytree(base.root.parent, folder / 'run')
    return CollectionPlace(folder / 'run' / 'collection')


def _state_after(folder: Path, base: CollectionPlace, operation: Operation) -> State:
    place = _copy(folder, base)
    operation(place)
    return state_of(place)


def _open(place: CollectionPlace) -> None:
    """Open it as the next command does."""
    with index_for_changing(open_place(place.root), 'test'):
        pass


def _folder(place: CollectionPlace, one_id: str) -> Path:
    return next(place.pieces.glob(f'*-{one_id}'))


def _kill_at_event(operation: Operation, place: CollectionPlace, rng: random.Random) -> str:
    """Kill at a random one of the moments at which the program asks the system for something."""
    at = rng.randrange(1, _N_EVENTS)
    child = os.fork()
    if child == 0:
        _count_down(at)
        _run(operation, place)
    os.waitpid(child, 0)
    return f'killed at event {at}'


_N_EVENTS = 150
"""As many as the longest operation has; past its end an operation just ends."""


def _count_down(at: int, fault: Callable[[], None] = kill_now) -> list[int]:
    """Have a fault at a moment; return the count that goes down, 0 or less when it is past."""
    left = [at]

    def watch(event: str, args: object) -> None:
        if event.startswith(('open', 'os.', 'shutil.', 'sqlite3.', 'tempfile.')):
            left[0] -= 1
            if left[0] == 0:
                fault()

    sys.addaudithook(watch)
    return left


def _kill_after_time(operation: Operation, place: CollectionPlace, rng: random.Random) -> str:
    """Kill after a random time, also in the middle of writing."""
    wait_s = rng.uniform(0.0, 0.1)
    child = os.fork()
    if child == 0:
        _run(operation, place)
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return f'killed after {wait_s:.4f} s'


def _run(operation: Operation, place: CollectionPlace) -> None:
    try:
        operation(place)
    finally:
        os._exit(0)
