"""The command line, run in this process or as a process of its own."""

import io
import os
import resource
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

from grader.cli import app

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Run:
    """What a run left behind."""

    code: int
    out: str
    err: str


def run_grader(*args: object) -> Run:
    """Run in this process."""
    out, err = io.StringIO(), io.StringIO()
    code = 0
    with redirect_stdout(out), redirect_stderr(err):
        try:
            app([str(arg) for arg in args], prog_name='grader')
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Run(code, out.getvalue(), err.getvalue())


def grader_process(*args: object, max_file_bytes: int | None = None, **environment: str) -> subprocess.Popen[str]:
    """Start as a process of its own, which may write files up to a size, as on a disk that is nearly full."""

    def limit_files() -> None:
        if max_file_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (max_file_bytes, max_file_bytes))

    return subprocess.Popen(
        [sys.executable, '-W', 'error', '-m', 'grader', *map(str, args)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, 'PYTHONDONTWRITEBYTECODE': '1', **environment},
        preexec_fn=limit_files,
    )


def run_as_process(*args: object, max_file_bytes: int | None = None, **environment: str) -> Run:
    """Run as a process of its own, to its end."""
    process = grader_process(*args, max_file_bytes=max_file_bytes, **environment)
    out, err = process.communicate(timeout=120)
    return Run(process.returncode, out, err)
