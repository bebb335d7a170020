"""Long work in processes of their own, so that pages stay quick and a crash of one job harms no other.

Each lane has one process and works off its jobs in their order. What is short (is this photo good enough?) has a
lane of its own, so that it need not wait for what is long; so has what somebody waits for while it is sent (is this
a photo at all?).
"""

import logging
import multiprocessing
import secrets
import threading
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from typing import Any, Literal, get_args

from grader.errors import JobNotFound
from grader.version import __version__
from grader.web.constants import KEPT_JOBS
from grader.web.job_process import Message, serve_jobs

logger = logging.getLogger(__name__)

Lane = Literal['intake', 'short', 'long']
Work = Callable[..., Any]
"""A function of a module, called as ``work(progress, *arguments)`` in another process."""


@dataclass(frozen=True, slots=True)
class JobState:
    """What is told of a job."""

    token: str
    """Its name in addresses."""
    title: str
    """What it does, in words."""
    back_to: str
    """Page to go back to when it fails."""
    state: Literal['waiting', 'running', 'done', 'failed', 'stopped'] = 'waiting'
    n_steps: int = 0
    n_done: int = 0
    step_name: str = ''
    """The step that was done last."""
    now: str = ''
    """What is done at this moment, in words; '' where that is not told."""
    goes_to: str = ''
    """Page of the result, once it is done."""
    problem: str = ''
    remedy: str = ''

    @property
    def is_over(self) -> bool:
        """Whether nothing more will happen."""
        return self.state in ('done', 'failed', 'stopped')


class JobFailed(Exception):
    """A job failed, and its state says why."""

    def __init__(self, state: JobState) -> None:
        super().__init__(state.problem)
        self.state = state


@dataclass(slots=True)
class _Job:
    state: JobState
    work: Work
    arguments: tuple[Any, ...]
    future: 'Future[Any]' = field(default_factory=Future)


class Jobs:
    """Jobs that wait, run and are over. May be used from any thread."""

    def __init__(self) -> None:
        self._known: dict[str, _Job] = {}
        self._guard = threading.Lock()
        self._lanes: dict[Lane, _LaneWorker] = {lane: _LaneWorker(self._tell) for lane in get_args(Lane)}

    def submit(self, lane: Lane, title: str, back_to: str, work: Work, *arguments: Any) -> 'tuple[str, Future[Any]]':
        """Have work done; return its token and what it will give.

        Parameters
        ----------
        lane
            Whether it takes seconds or longer.
        title
            What it does, in words.
        back_to
            Page to go back to when it fails.
        work
            Function of a module, called with a ``Progress`` and the arguments. What it gives counts as the page to go
            to where it is a text.
        arguments
            Plain data.
        """
        token = secrets.token_urlsafe(12)
        job = _Job(JobState(token, title, back_to), work, arguments)
        with self._guard:
            self._known[token] = job
            self._forget_old()
        self._lanes[lane].add(job)
        return token, job.future

    def warm_up(self, lane: Lane, work: Work) -> None:
        """Start a lane's process and have it load what `work` needs, unless it did already: soon it will be wanted."""
        if self._lanes[lane].is_cold:
            self.submit(lane, "Get ready", '/', work)

    def state(self, token: str) -> JobState:
        """State of a job.

        Raises
        ------
        JobNotFound
            If there is none of this name.
        """
        with self._guard:
            if token not in self._known:
                raise JobNotFound(
                    "There is no such job: the program was started anew, or it is long over.",
                    "Go to the collection; what was done is there.",
                )
            return self._known[token].state

    def unfinished(self) -> tuple[JobState, ...]:
        """Jobs that wait or run."""
        with self._guard:
            return tuple(job.state for job in self._known.values() if not job.state.is_over)

    def stop(self, token: str) -> None:
        """Stop a job, whether it waits or runs."""
        self.state(token)
        with self._guard:
            job = self._known[token]
        for lane in self._lanes.values():
            lane.stop(job)

    def close(self) -> None:
        """Stop all jobs and processes."""
        for lane in self._lanes.values():
            lane.close()

    def _tell(self, job: _Job, **news: Any) -> None:
        with self._guard:
            if not job.state.is_over:
                job.state = replace(job.state, **news)

    def _forget_old(self) -> None:
        over = [token for token, job in self._known.items() if job.state.is_over]
        for token in over[: max(len(self._known) - KEPT_JOBS, 0)]:
            del self._known[token]


class _LaneWorker:
    """One process, started when it is first needed, and the thread that feeds it."""

    def __init__(self, tell: Callable[..., None]) -> None:
        self._tell = tell
        self._waiting: deque[_Job] = deque()
        self._news = threading.Condition()
        self._thread: threading.Thread | None = None
        self._process: Any = None
        self._pipe: Connection | None = None
        self._running: _Job | None = None
        self._closed = False

    @property
    def is_cold(self) -> bool:
        """Whether there is no process, and none is about to start."""
        with self._news:
            return self._process is None and self._running is None and not self._waiting

    def add(self, job: _Job) -> None:
        with self._news:
            self._waiting.append(job)
            if self._thread is None:
                self._thread = threading.Thread(target=self._feed, name='jobs', daemon=True)
                self._thread.start()
            self._news.notify()

    def stop(self, job: _Job) -> None:
        with self._news:
            if job in self._waiting:
                self._waiting.remove(job)
                self._end(job, state='stopped')
            elif self._running is job:
                self._tell(job, state='stopped')
                self._kill()

    def close(self) -> None:
        with self._news:
            self._closed = True
            while self._waiting:
                self._end(self._waiting.popleft(), state='stopped')
            if self._running is not None:
                self._tell(self._running, state='stopped')
            self._kill()
            self._news.notify()
        if self._thread is not None:
            self._thread.join()

    def _feed(self) -> None:
        while True:
            with self._news:
                while not self._waiting and not self._closed:
                    self._news.wait()
                if self._closed:
                    return
                job = self._running = self._waiting.popleft()
                self._tell(job, state='running')
                pipe = self._pipe_or_none()
            try:
                if pipe is None:
                    raise EOFError
                pipe.send((job.work, job.arguments))
                self._listen(job, pipe)
            except (EOFError, OSError):
                self._crashed(job)
            finally:
                with self._news:
                    self._running = None

    def _listen(self, job: _Job, pipe: Connection) -> None:
        while True:
            message: Message = pipe.recv()
            if message.kind == 'step':
                news = {'step_name': message.text} if message.text else {}
                self._tell(job, n_steps=message.n_steps, n_done=message.n_done, now=message.now, **news)
            elif message.kind == 'done':
                goes_to = message.value if isinstance(message.value, str) else ''
                self._tell(job, state='done', goes_to=goes_to)
                job.future.set_result(message.value)
                return
            else:
                if message.kind == 'fault':
                    logger.error('job "%s" failed:\n%s', job.state.title, message.trace)
                self._end(job, state='failed', problem=message.text, remedy=message.remedy)
                return

    def _crashed(self, job: _Job) -> None:
        with self._news:
            self._kill()
        self._end(
            job,
            state='failed',
            problem=f"The work ended before it was done (grader {__version__}), usually because the memory was full.",
            remedy="Close other programs and try again. Nothing was lost: what is stored is whole.",
        )

    def _end(self, job: _Job, **news: Any) -> None:
        self._tell(job, **news)
        if not job.future.done():
            job.future.set_exception(JobFailed(job.state))

    def _pipe_or_none(self) -> Connection | None:
        try:
            return self._ready_pipe()
        except OSError:
            # no memory, or no process left: that job fails, and the next one tries again
            logger.exception('no process could be started')
            return None

    def _ready_pipe(self) -> Connection:
        if self._pipe is None or not self._process.is_alive():
            self._kill()
            # A fresh process: a forked one would inherit the state of libraries that have threads.
            context = multiprocessing.get_context('spawn')
            ours, theirs = context.Pipe()
            self._process = context.Process(target=serve_jobs, args=(theirs,), daemon=True)
            self._process.start()
            theirs.close()
            self._pipe = ours
        return self._pipe

    def _kill(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process = None
        if self._pipe is not None:
            self._pipe.close()
            self._pipe = None
