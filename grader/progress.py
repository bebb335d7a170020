"""Progress of a long run: a protocol that is handed in, with a silent default."""

import sys
from typing import Protocol, TextIO


class Progress(Protocol):
    """What a long run tells while it goes on."""

    def start(self, n_steps: int) -> None:
        """A run of so many steps begins."""

    def begin(self, what: str) -> None:
        """Something that takes a while begins; `what` says what, in words."""

    def step(self, name: str) -> None:
        """One step, of this name, is done."""

    def finish(self) -> None:
        """The run is over, also when it failed."""


class SilentProgress:
    """Tells nothing."""

    def start(self, n_steps: int) -> None:
        """Do nothing."""

    def begin(self, what: str) -> None:
        """Do nothing."""

    def step(self, name: str) -> None:
        """Do nothing."""

    def finish(self) -> None:
        """Do nothing."""


class ProgressBar:
    """One line that is written over: a bar, the count, and what is done now or the name of the last photo.

    Parameters
    ----------
    stream
        A terminal; usually standard error, since standard output is for the result.
    width
        Columns that the line may take.
    """

    def __init__(self, stream: TextIO, width: int = 79) -> None:
        self._stream = stream
        self._width = width
        self._n_steps = 0
        self._n_done = 0

    def start(self, n_steps: int) -> None:
        """Draw the empty bar."""
        self._n_steps, self._n_done = n_steps, 0
        self._draw("")

    def begin(self, what: str) -> None:
        """Tell what is done now."""
        self._draw(what)

    def step(self, name: str) -> None:
        """Move the bar on by one."""
        self._n_done += 1
        self._draw(name)

    def finish(self) -> None:
        """Leave the line clean for what is printed next."""
        self._stream.write(f'\r{" " * self._width}\r')
        self._stream.flush()

    def _draw(self, name: str) -> None:
        n_cells = 30
        n_full = n_cells * self._n_done // max(self._n_steps, 1)
        bar = '#' * n_full + '.' * (n_cells - n_full)
        line = f"[{bar}] {self._n_done} of {self._n_steps}  {name}"
        self._stream.write('\r' + line[: self._width].ljust(self._width))
        self._stream.flush()


def progress_for(stream: TextIO = sys.stderr) -> Progress:
    """Progress bar where a person looks on, silence where output goes to a file or a pipe."""
    return ProgressBar(stream) if stream.isatty() else SilentProgress()
