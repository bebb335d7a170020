"""``grader batch``: a folder of photos of single pieces, one record each."""

import contextlib
import functools
import logging
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from calib.errors import ActionableError
from grader.commands.options import CardScale, Force, Profile, RequireCard, Verbose, When, settings_from, time_from
from grader.commands.results import unlike_stems
from grader.errors import PhotoSetUnusable
from grader.exit_codes import ExitCode
from grader.output import check_new_folder, new_folder
from grader.photos.load import PHOTO_SUFFIXES
from grader.pipeline import Job, examine_photos
from grader.progress import Progress, SilentProgress, progress_for

logger = logging.getLogger(__name__)

_Item = TypeVar('_Item')

Jobs = Annotated[int, typer.Option('--jobs', min=1, help="Photos examined at the same time; the records are the same.")]
ALL_CORES = len(os.sched_getaffinity(0)) if hasattr(os, 'sched_getaffinity') else os.cpu_count() or 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one photo: the text of its record, or the words of its fault."""

    name: str
    """File name of the photo."""
    record_json: str
    """Text of the record; '' where there is a fault."""
    fault: str
    """What went wrong and what to do; '' where there is a record."""
    is_our_bug: bool = False
    """Whether the fault is one of the program."""


def batch(
    folder: Annotated[Path, typer.Argument(metavar='FOLDER', help="Folder of photos, each of one piece.")],
    out: Annotated[
        Path, typer.Option('--out', metavar='DIR', help="New folder for the records, one NAME.json a photo.")
    ],
    jobs: Jobs = ALL_CORES,
    require_card: RequireCard = False,
    card_scale_mm: CardScale = None,
    profile: Profile = None,
    when: When = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Examine each photo of a folder by itself.

    Photos that cannot be examined are listed at the end; the others are done all the same.
    """
    check_new_folder(out, force=force)
    job = Job(settings_from(require_card, card_scale_mm, None, profile), time_from(when))
    paths = photos_in(folder)
    with new_folder(out, force=force, keep=paths) as work:
        outcomes = examine_each(paths, job, jobs, progress_for())
        for outcome, stem in zip(outcomes, unlike_stems([path.name for path in paths]), strict=True):
            if not outcome.fault:
                (work / f'{stem}.json').write_text(outcome.record_json, encoding='utf-8')
    faults = [outcome for outcome in outcomes if outcome.fault]
    typer.echo(f"{len(outcomes) - len(faults)} of {len(outcomes)} photos have a record: {out}")
    if faults:
        end_with_faults(faults)


def photos_in(folder: Path) -> list[Path]:
    """Photo files of a folder, by name; other files are passed over.

    Raises
    ------
    PhotoSetUnusable
        If there is no such folder, or no photo in it.
    """
    if not folder.is_dir():
        raise PhotoSetUnusable(
            f"{folder}: there is no such folder.", "Check the name; for single photos use \"grader examine\"."
        )
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() in PHOTO_SUFFIXES and path.is_file())
    if not paths:
        raise PhotoSetUnusable(
            f"{folder}: there is no photo in the folder; "
            f"files ending in {', '.join(PHOTO_SUFFIXES)} are taken for photos.",
            "Name the folder that holds the photos.",
        )
    return paths


def examine_each(paths: Sequence[Path], job: Job, n_jobs: int, progress: Progress) -> list[Outcome]:
    """Outcome of each photo, in the order of the paths, whatever the number of processes.

    Raises
    ------
    PhotoSetUnusable
        If a process was killed, as the system does when the memory is full.
    """
    return outcome_of_each(functools.partial(examine_one, job=job), paths, n_jobs, progress)


def outcome_of_each(
    work: Callable[[_Item], Outcome], items: Sequence[_Item], n_jobs: int, progress: Progress
) -> list[Outcome]:
    """Outcome of each item, in their order; `work` is a function that another process can load.

    Raises
    ------
    PhotoSetUnusable
        If a process was killed, as the system does when the memory is full.
    """
    outcomes: list[Outcome] = []
    progress.start(len(items))
    try:
        for outcome in _outcomes(work, items, min(n_jobs, len(items))):
            outcomes.append(outcome)
            progress.step(outcome.name)
    except BrokenProcessPool as err:
        raise PhotoSetUnusable(
            f"One of {n_jobs} processes was stopped from outside after {len(outcomes)} photos, usually because the "
            "memory was full.",
            "Run it again with a smaller number behind --jobs.",
        ) from err
    finally:
        progress.finish()
    return outcomes


def _outcomes(work: Callable[[_Item], Outcome], items: Sequence[_Item], n_jobs: int) -> Iterator[Outcome]:
    if n_jobs <= 1:
        yield from map(work, items)
        return
    # Fresh processes: a forked one would inherit the state of libraries that have threads.
    executor = ProcessPoolExecutor(n_jobs, multiprocessing.get_context('spawn'), _leave_stopping_to_the_parent)
    try:
        with _interrupts_held_back():
            outcomes = executor.map(work, items)
        yield from outcomes
    finally:
        executor.shutdown(cancel_futures=True)


@contextlib.contextmanager
def _interrupts_held_back() -> Iterator[None]:
    """Let a stop by the user wait until all processes have started: one that has half started ends with a traceback."""
    if not hasattr(signal, 'pthread_sigmask'):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _leave_stopping_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def examine_one(path: Path, job: Job) -> Outcome:
    """Outcome of one photo; a fault in it, even one of ours, must not end the night's work."""
    return examine_as_one(path.name, [path], job)


def examine_as_one(name: str, paths: Sequence[Path], job: Job) -> Outcome:
    """Outcome of photos that are examined together, under one name."""
    try:
        examination = examine_photos(paths, job.settings, now=job.now, progress=SilentProgress())
    except ActionableError as err:
        return Outcome(name, '', str(err))
    except Exception as err:
        logger.info('%s: fault of ours', name, exc_info=True)
        return Outcome(name, '', f"{name}: fault in grader ({type(err).__name__}: {err}).", is_our_bug=True)
    return Outcome(name, examination.record.to_json(), '')


def end_with_faults(faults: Sequence[Outcome]) -> None:
    """List the photos that could not be examined, and end with the code for that.

    Raises
    ------
    PhotoSetUnusable
        If none of the faults is one of the program.
    """
    for outcome in faults:
        typer.echo(f"- {outcome.fault}", err=True)
    if any(outcome.is_our_bug for outcome in faults):
        typer.echo("Please report the faults in grader, with what \"--verbose --jobs 1\" prints.", err=True)
        raise typer.Exit(int(ExitCode.OUR_BUG))
    raise PhotoSetUnusable(
        f"{len(faults)} photo(s) could not be examined.", "The list above says why, and what to do about each."
    )
