"""The edge of the program: the one place where errors become words and an exit code."""

import functools
import logging
import sys
import traceback
from collections.abc import Callable
from typing import ParamSpec

import typer

from calib.errors import ActionableError
from grader.commands.printable import printable
from grader.errors import MemoryShort
from grader.exit_codes import ExitCode, exit_code_of
from grader.version import __version__

# OpenCV's Error::StsNoMem; the code, not the class, so that commands without pictures need not load OpenCV.
_OPENCV_NO_MEMORY = -4
_Params = ParamSpec('_Params')


def at_the_edge(command: Callable[_Params, None]) -> Callable[_Params, None]:
    """Command that ends with words on standard error and a promised exit code, whatever goes wrong in it.

    A command with an argument `verbose` shows the traceback of a fault when that is set, and logs as it goes on.
    """

    @functools.wraps(command)
    def guarded(*args: _Params.args, **kwargs: _Params.kwargs) -> None:
        verbose = bool(kwargs.get('verbose'))
        logging.basicConfig(
            level=logging.INFO if verbose else logging.WARNING,
            format='%(levelname)s %(name)s: %(message)s',
            stream=sys.stderr,
        )
        try:
            command(*args, **kwargs)
        except ActionableError as err:
            _end(str(err), exit_code_of(err), verbose=verbose)
        except KeyboardInterrupt:
            _end("Stopped. Nothing was left half-written.", ExitCode.STOPPED, verbose=False)
        except (typer.Exit, typer.Abort, BrokenPipeError):
            raise
        except Exception as err:
            if is_short_of_memory(err):
                short = MemoryShort(
                    "This computer has too little free memory for what is to be examined.",
                    "Close other programs, give fewer photos at once, or use smaller copies of them.",
                )
                _end(str(short), exit_code_of(short), verbose=verbose)
            _end(
                f"This is a fault in grader {__version__}, not in your photos ({type(err).__name__}: {err}). "
                "Please report it, with what \"--verbose\" prints.",
                ExitCode.OUR_BUG,
                verbose=verbose,
            )

    return guarded


def is_short_of_memory(err: Exception) -> bool:
    """Whether an error says that memory could not be had, be it of Python or of OpenCV."""
    return isinstance(err, MemoryError) or getattr(err, 'code', None) == _OPENCV_NO_MEMORY


def _end(words: str, code: ExitCode, *, verbose: bool) -> None:
    if verbose:
        traceback.print_exc(file=sys.stderr)
    typer.echo(printable(words), err=True)
    raise typer.Exit(int(code))
