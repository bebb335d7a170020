"""A command run in a process of its own that has little memory and little time, and what it did."""

import gc
import io
import os
import pickle
import resource
import signal
import sys
import tempfile
import traceback
import warnings
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Any

from grader.cli import app

LIMIT_S = 10
"""Most time that a command may work, in seconds of one core."""
LIMIT_WAITING_S = 60
"""Most time by the clock on the wall, waiting and other programs included."""
LIMIT_BYTES = 3 << 30
"""Most address space of a command. Beyond it memory cannot be had."""
CRASHED = -1
"""Code of a process that ended in any other way than by an exit code."""


@dataclass(frozen=True)
class Watched:
    """What a command did."""

    code: int
    """Exit code, or CRASHED."""
    ended_by: str
    """Name of the signal that ended it, '' for none."""
    out: str
    err: str
    seconds: float
    """Of one core."""
    peak_bytes: int
    """Most memory at a time, with that of the program itself."""
    lines: frozenset[tuple[str, int]]
    """Lines that ran, by file and number; of the files that were asked for."""


def watch(args: Collection[str], folder: Path, traced: Collection[str] = ()) -> Watched:
    """Run a command of the program in a folder.

    The process is a copy of this one, so that nothing is loaded anew. The system ends it when its time is over, which
    not even compiled code can hold off.
    """
    with tempfile.TemporaryDirectory() as name:
        notes = Path(name)
        with warnings.catch_warnings(action='ignore'):
            process = os.fork()
        if process == 0:
            _run_and_end(list(args), folder, notes, frozenset(traced))
        _, status, used = os.wait4(process, 0)
        ended_by = signal.Signals(os.WTERMSIG(status)).name if os.WIFSIGNALED(status) else ''
        kept = notes / 'lines'
        return Watched(
            code=CRASHED if ended_by else os.WEXITSTATUS(status),
            ended_by=ended_by,
            out=(notes / 'out').read_text(encoding='utf-8', errors='replace'),
            err=(notes / 'err').read_text(encoding='utf-8', errors='replace'),
            seconds=used.ru_utime + used.ru_stime,
            peak_bytes=used.ru_maxrss * 1024,
            lines=pickle.loads(kept.read_bytes()) if kept.exists() else frozenset(),
        )


def _run_and_end(args: list[str], folder: Path, notes: Path, traced: frozenset[str]) -> None:
    """Run the command in this process, which ends with it."""
    code = 1
    try:
        gc.freeze()
        for stream, name in ((1, 'out'), (2, 'err')):
            os.dup2(os.open(notes / name, os.O_WRONLY | os.O_CREAT), stream)
        sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(k, 'w', closefd=False), encoding='utf-8') for k in (1, 2))
        os.chdir(folder)
        os.environ['XDG_CONFIG_HOME'] = str(notes / 'settings')
        tempfile.tempdir = str(folder)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_AS, (LIMIT_BYTES, LIMIT_BYTES))
        resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_S, LIMIT_S + 1))
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        signal.alarm(LIMIT_WAITING_S)
        lines = _LinesThatRan(traced)
        try:
            code = lines.during(args)
        finally:
            signal.alarm(0)
            sys.stdout.flush()
            sys.stderr.flush()
        if traced:
            (notes / 'lines').write_bytes(pickle.dumps(frozenset(lines.seen)))
    except BaseException:
        os.write(2, traceback.format_exc().encode())
    finally:
        os._exit(code)


class _LinesThatRan:
    """Notes which lines of some files ran."""

    def __init__(self, files: frozenset[str]) -> None:
        self.files = files
        self.seen: set[tuple[str, int]] = set()

    def during(self, args: list[str]) -> int:
        """Exit code of the command, whose lines are noted."""
        if self.files:
            sys.settrace(self._on_call)
        try:
            app(args, prog_name='grader')
        except SystemExit as end:
            return end.code if isinstance(end.code, int) else int(end.code is not None)
        finally:
            sys.settrace(None)
        return 0

    def _on_call(self, frame: FrameType, event: str, value: Any) -> Any:
        return self._on_line if frame.f_code.co_filename in self.files else None

    def _on_line(self, frame: FrameType, event: str, value: Any) -> Any:
        if event == 'line':
            self.seen.add((frame.f_code.co_filename, frame.f_lineno))
        return self._on_line
