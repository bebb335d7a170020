"""Kill sealing and time-stamping at random moments, and look whether anything is lost.

    python tests/benchmark/kill_seal.py --kills 1000

Each round starts the command in a process of its own, kills it (SIGKILL) at a random moment, and checks: the new bag is
there whole or not at all, and so is the time stamp; the earlier bag, the photos and the examination are as they were;
the key is whole or not there; and the same command then does its work. With ``--each-step`` the process is also killed
before each single operation on a file, one after another. Ends with code 1 if anything was lost.
"""

import argparse
import io
import os
import random
import shutil
import signal
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from grader.cli import app
from grader.commands import seal, timestamp  # noqa: F401 - loaded once here, not in each process
from grader.evidence.seal_key import key_from
from tests.support.sealed_bags import check, files_in, small_examination
from tests.support.time_authority import Authority

FILE_EVENTS = ('open', 'os.mkdir', 'os.rename', 'os.link', 'os.remove', 'os.rmdir', 'shutil.rmtree')


class Lost(AssertionError):
    """Something was lost or left half-written."""


def need(holds: bool, words: str) -> None:
    if not holds:
        raise Lost(words)


def run(*args: object) -> int:
    """Run a command in this process; its exit code."""
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        try:
            app([str(arg) for arg in args], prog_name='grader')
        except SystemExit as end:
            return int(end.code or 0)
    return 0


class Stage:
    """Folder with an examination, an earlier bag and a reply by an authority."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.examined = small_examination(folder / 'inputs' / 'later')
        first = small_examination(folder / 'inputs' / 'more' / 'first', mark=b'first')
        (self.examined / 'large.bin').write_bytes(random.Random(5).randbytes(1_000_000))
        self.key = folder / 'key.pem'
        need(run('seal', first, '--out', folder / 'old', '--key', self.key) == 0, 'the first bag could not be made')
        self.old = folder / 'old' / 'first'
        self.request, self.reply = folder / 'a.tsq', folder / 'a.tsr'
        need(run('timestamp', self.old, '--request', self.request) == 0, 'no request')
        self.reply.write_bytes(Authority().reply(self.request.read_bytes()))
        self.before = files_in(folder)

    def check_inputs(self) -> None:
        now = files_in(self.folder)
        need({name: now.get(name) for name in self.before} == self.before, 'an input or the earlier bag has changed')


class SealRound:
    """Sealing, with a key that is to be made."""

    def __init__(self, stage: Stage, folder: Path) -> None:
        self.stage, self.folder = stage, folder
        folder.mkdir()
        self.bag, self.key = folder / 'out' / 'later', folder / 'key.pem'

    def work(self) -> int:
        return run('seal', self.stage.examined, '--out', self.bag.parent, '--key', self.key, '--after', self.stage.old)

    def state(self) -> str:
        if self.key.exists():
            need(self.key.stat().st_mode & 0o777 == 0o600, 'the key can be read by others')
            key_from(self.key)
        others = [path for path in (self.folder, self.bag.parent) if path.exists() for path in path.iterdir()]
        shown = {path.name for path in others if not path.name.startswith('.')}
        need(shown <= {'out', 'key.pem', 'later'}, f'something is left behind: {shown}')
        if not self.bag.exists():
            return 'nothing'
        need(self.key.exists(), 'there is a bag and no key')
        own = key_from(self.key).fingerprint
        keys = (own, key_from(self.stage.key).fingerprint)
        found = check(self.bag, previous=self.stage.old, known_keys=keys)
        need(found.is_valid and not found.notes, f'the bag is not whole: {found.faults}')
        return 'whole'

    def check_again(self, state: str) -> None:
        need(self.work() == (0 if state == 'nothing' else 7), 'the command does not work afterwards')
        need(self.state() == 'whole', 'the command does not make a bag afterwards')


class StampRound:
    """Attaching a time stamp."""

    def __init__(self, stage: Stage, folder: Path) -> None:
        self.stage, self.folder, self.bag = stage, folder, folder / 'bag'
        shutil.copytree(stage.old, self.bag)

    def work(self) -> int:
        return run('timestamp', self.bag, '--request', self.stage.request, '--reply', self.stage.reply)

    def state(self) -> str:
        found = check(self.bag)
        need(found.is_valid, f'the bag is not whole: {found.faults}')
        return 'nothing' if found.bags[0].time_stamp is None else 'whole'

    def check_again(self, state: str) -> None:
        need(self.work() == (0 if state == 'nothing' else 7), 'the command does not work afterwards')
        need(self.state() == 'whole', 'no time stamp afterwards')


def in_a_process(work: Callable[[], int], die_at: int | None = None) -> int:
    """Start `work` in a process of its own, which kills itself before its file operation `die_at`; its number."""
    process = os.fork()
    if process:
        return process
    if die_at is not None:
        left = [die_at]

        def count(event: str, _: object) -> None:
            if event in FILE_EVENTS:
                left[0] -= 1
                if left[0] < 0:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(count)
    os._exit(work())


def finish(process: int) -> int:
    """Wait for a process; its exit code, negative where it was killed."""
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def usual_time(stage: Stage, kind: type, folder: Path) -> float:
    """Seconds that the work takes in a process of its own."""
    times = []
    for k in range(7):
        one = kind(stage, folder / f'{kind.__name__}-{k}')
        start = time.perf_counter()
        need(finish(in_a_process(one.work)) == 0, 'the work fails unkilled')
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def kill_at_random(stage: Stage, kind: type, folder: Path, delay: float) -> str:
    one = kind(stage, folder)
    process = in_a_process(one.work)
    time.sleep(delay)
    os.kill(process, signal.SIGKILL)
    return look_at(stage, one, finish(process))


def look_at(stage: Stage, one: 'SealRound | StampRound', code: int) -> str:
    """What a killed process left, once all is checked."""
    state = one.state()
    need(code < 0 or state == 'whole', 'it said that all is done, and it is not')
    one.check_again(state)
    stage.check_inputs()
    shutil.rmtree(one.folder)
    return f'{"killed" if code < 0 else "done before the kill"}, {state}'


def kill_before_each_step(stage: Stage, kind: type, folder: Path) -> int:
    """Kill before operation 0, 1, 2 ... until the work gets through; how many there were."""
    step = 0
    while True:
        one = kind(stage, folder / f'step-{kind.__name__}-{step}')
        code = finish(in_a_process(one.work, die_at=step))
        look_at(stage, one, code)
        if code == 0:
            return step
        step += 1


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument('--kills', type=int, default=1000)
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--each-step', action='store_true')
    options = parser.parse_args()
    rng = random.Random(options.seed)
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        stage = Stage(folder / 'stage')
        kinds = (SealRound, StampRound)
        times = {kind: usual_time(stage, kind, folder) for kind in kinds}
        n_killed = 0
        try:
            while n_killed < options.kills:
                kind = kinds[sum(counts.values()) % 2]
                found = kill_at_random(stage, kind, folder / 'round', rng.uniform(0, 1.05 * times[kind]))
                counts[f'{kind.__name__}: {found}'] += 1
                n_killed += found.startswith('killed')
            n_steps = [kill_before_each_step(stage, kind, folder) for kind in kinds] if options.each_step else []
        except Lost as err:
            print(f'LOST: {err}')
            return 1
    for words, count in sorted(counts.items()):
        print(f'{count:6}  {words}')
    print(f'{n_killed} kills at random moments, {sum(n_steps)} before single file operations: nothing lost')
    return 0


if __name__ == '__main__':
    sys.exit(main())
