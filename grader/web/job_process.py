"""The process that does jobs: takes one after another from a pipe, and tells how it goes."""

import contextlib
import signal
import traceback
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, Literal

from calib.errors import ActionableError
from grader.version import __version__


@dataclass(frozen=True, slots=True)
class Message:
    """News of a job."""

    kind: Literal['step', 'done', 'failed', 'fault']
    text: str = ''
    """Name of a step, or what the problem is."""
    remedy: str = ''
    trace: str = ''
    """Where a fault of ours arose."""
    n_steps: int = 0
    n_done: int = 0
    now: str = ''
    """What is done at this moment, in words."""
    value: Any = None
    """What the work gave."""


class PipeProgress:
    """Progress that is told through a pipe.

    Work that reports several runs one after another counts on.
    """

    def __init__(self, pipe: Connection) -> None:
        self._pipe = pipe
        self._n_steps = self._n_done = 0

    def start(self, n_steps: int) -> None:
        """A run of so many steps begins."""
        self._n_steps += n_steps
        self._send('')

    def begin(self, what: str) -> None:
        """Something that takes a while begins."""
        self._send('', what)

    def step(self, name: str) -> None:
        """One step, of this name, is done."""
        self._n_done += 1
        self._send(name)

    def finish(self) -> None:
        """Do nothing: the end of the work is told by itself."""

    def _send(self, name: str, now: str = '') -> None:
        self._pipe.send(Message('step', name, n_steps=self._n_steps, n_done=self._n_done, now=now))


def serve_jobs(pipe: Connection) -> None:
    """Do jobs until the pipe is closed."""
    # A stop by the user is the parent's business.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with contextlib.suppress(EOFError, OSError):
        while True:
            work, arguments = pipe.recv()
            pipe.send(_outcome(work, arguments, pipe))


def _outcome(work: Any, arguments: tuple[Any, ...], pipe: Connection) -> Message:
    try:
        return Message('done', value=work(PipeProgress(pipe), *arguments))
    except ActionableError as err:
        return Message('failed', err.problem, err.remedy)
    except Exception as err:
        return Message(
            'fault',
            f"This is a fault in grader {__version__}, not in your photos ({type(err).__name__}: {err}).",
            "Please report it. Nothing was lost.",
            traceback.format_exc(),
        )
