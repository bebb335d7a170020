"""``grader study``: pieces photographed several times in; how well size, marks and score repeat out."""

import csv
import functools
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from shutil import copyfile
from typing import Annotated

import typer

from calib.errors import ActionableError
from grader.collection.csv_form import guarded
from grader.commands.batch import (
    ALL_CORES,
    Jobs,
    Outcome,
    end_with_faults,
    examine_as_one,
    examine_each,
    outcome_of_each,
)
from grader.commands.options import CardScale, Force, Profile, RequireCard, Verbose, When, settings_from, time_from
from grader.commands.results import unlike_stems
from grader.errors import SettingsInvalid
from grader.evidence.hashing import digests_of_file
from grader.output import check_new_folder, new_folder
from grader.pipeline import Job
from grader.progress import progress_for
from grader.record import GradingRecord, read_record, record_from_bytes
from grader.report.study_page import study_page
from grader.report.study_plot import study_plots
from grader.report.study_table import format_study
from grader.study.build import build_study, check_repeats
from grader.study.layout import Shot, read_layout
from grader.study.reading import LeftOut, check_only_once, gather
from grader.study.study import Study

STUDY_NAME = 'study.json'
PAGE_NAME = 'study.html'
RECORDS_FOLDER = 'records'
TABLE_NAME = 'records.csv'


@dataclass(frozen=True, slots=True)
class Examined:
    """Records of a study, and what could not be used."""

    records: tuple[tuple[Shot, GradingRecord], ...]
    """All, also those that were given."""
    made: tuple[tuple[str, Shot, str], ...]
    """Those that were made: name of the file, what they are of, and their text."""
    faults: tuple[Outcome, ...]


def study(
    place: Annotated[
        Path,
        typer.Argument(
            metavar='FOLDER',
            help="Folder with folders PIECE or PIECE/SETUP of photos or records, or a CSV file with the columns photo, "
            "piece and setup.",
        ),
    ],
    out: Annotated[
        Path, typer.Option('--out', metavar='DIR', help="New folder for the study, its page, plots and records.")
    ],
    jobs: Jobs = ALL_CORES,
    match_marks: Annotated[
        bool,
        typer.Option(
            '--match-marks/--no-match-marks',
            help="Also tell how often the same mark is found again; examines each piece's photos together as well.",
        ),
    ] = True,
    as_json: Annotated[bool, typer.Option('--json', help="Print the study instead of the table.")] = False,
    require_card: RequireCard = False,
    card_scale_mm: CardScale = None,
    profile: Profile = None,
    when: When = '',
    force: Force = False,
    verbose: Verbose = False,
) -> None:
    """Tell how well photos of the same pieces repeat.

    Photos are examined as "grader batch" does; records that are given instead are taken as they are.
    """
    check_new_folder(out, force=force)
    job = Job(settings_from(require_card, card_scale_mm, None, profile), time_from(when))
    shots = read_layout(place)
    if place.is_dir() and out.resolve().is_relative_to(place.resolve()):
        raise SettingsInvalid(f"--out {out}: it lies in the folder of the study.", "Give a folder beside it.")
    with new_folder(out, force=force, keep=[shot.path for shot in shots]) as work:
        examined = _examine(shots, job, jobs, match_marks)
        _write_records(work, examined)
        found = _study_or_fault(examined)
        if isinstance(found, Study):
            _write_study(work, found)
        elif not examined.made:
            raise found
    if not isinstance(found, Study):
        typer.echo(f"The records of the photos are kept: {out / RECORDS_FOLDER}", err=True)
        raise found
    typer.echo(found.to_json() if as_json else format_study(found), nl=not as_json)
    if not as_json:
        typer.echo(f"Study:  {out / STUDY_NAME}")
        typer.echo(f"Page:   {out / PAGE_NAME}")
    if examined.faults:
        end_with_faults(examined.faults)


def _examine(shots: Sequence[Shot], job: Job, n_jobs: int, match_marks: bool) -> Examined:
    """Records of all photos; a photo that a record of its piece tells of is not examined again."""
    given: list[tuple[Shot, GradingRecord]] = []
    faults: list[Outcome] = []
    for shot in shots:
        if shot.is_record:
            try:
                given.append((shot, read_record(shot.path)))
            except ActionableError as err:
                faults.append(Outcome(shot.path.name, '', str(err)))
    told = {(shot.piece, photo.sha256) for shot, record in given for photo in record.photos}
    digests = {shot: _digest(shot.path) for shot in shots if not shot.is_record}
    photos = [shot for shot, digest in digests.items() if (shot.piece, digest) not in told]
    check_only_once([(shot.path.name, shot.piece, digests[shot]) for shot in photos])
    check_repeats([*(shot.piece for shot in photos), *(piece for piece, _ in told)])
    outcomes = examine_each([shot.path for shot in photos], job, n_jobs, progress_for()) if photos else []
    done = [(shot, one) for shot, one in zip(photos, outcomes, strict=True) if not one.fault]
    faults += [one for one in outcomes if one.fault]
    stems = unlike_stems([shot.path.name for shot, _ in done])
    made = [(f'{stem}.json', shot, one.record_json) for stem, (shot, one) in zip(stems, done, strict=True)]
    if match_marks:
        together = _examine_together([shot for shot, _ in done], job, n_jobs)
        faults += [one for _, one in together if one.fault]
        made += [
            (f'together-{number}.json', shot, one.record_json)
            for number, (shot, one) in enumerate(together, start=1)
            if not one.fault
        ]
    new = [(shot, record_from_bytes(text.encode(), name)) for name, shot, text in made]
    return Examined((*given, *new), tuple(made), tuple(faults))


def _digest(path: Path) -> str:
    """SHA-256 of a photo; its path where it cannot be read, which its examination tells."""
    try:
        return digests_of_file(path, ('sha256',))['sha256']
    except OSError:
        return str(path)


def _examine_together(shots: Sequence[Shot], job: Job, n_jobs: int) -> list[tuple[Shot, Outcome]]:
    """Examine the photos of each piece together, where it has two or more."""
    by_piece: dict[str, list[Path]] = {}
    for shot in shots:
        by_piece.setdefault(shot.piece, []).append(shot.path)
    several = [(piece, paths) for piece, paths in by_piece.items() if len(paths) > 1]
    if not several:
        return []
    work = functools.partial(_examine_piece, job=job)
    outcomes = outcome_of_each(work, several, n_jobs, progress_for())
    return [(Shot(paths[0], piece, ''), one) for (piece, paths), one in zip(several, outcomes, strict=True)]


def _examine_piece(piece: tuple[str, list[Path]], job: Job) -> Outcome:
    """Outcome of a piece's photos; those of one name get names of their own, by which the record tells them apart."""
    name, paths = piece
    if len({path.name.casefold() for path in paths}) == len(paths):
        return examine_as_one(name, paths, job)
    with tempfile.TemporaryDirectory() as folder:
        copies = []
        for number, path in enumerate(paths, start=1):
            copies.append(Path(folder) / f'{number}-{path.name}')
            copyfile(path, copies[-1])
        return examine_as_one(name, copies, job)


def _study_or_fault(examined: Examined) -> Study | ActionableError:
    """The study, or why there is none; the records must not be lost with it."""
    faults = [LeftOut(one.name, one.fault) for one in examined.faults]
    try:
        return build_study(gather(examined.records), faults)
    except ActionableError as err:
        return err


def _write_records(work: Path, examined: Examined) -> None:
    """Write the records that were made, with a table that makes the same study of them."""
    if not examined.made:
        return
    folder = work / RECORDS_FOLDER
    folder.mkdir()
    with (folder / TABLE_NAME).open('w', encoding='utf-8', newline='') as file:
        writer = csv.writer(file)
        writer.writerow(('photo', 'piece', 'setup'))
        for name, shot, text in examined.made:
            (folder / name).write_text(text, encoding='utf-8')
            writer.writerow([guarded(cell) for cell in (name, shot.piece, shot.setup)])


def _write_study(work: Path, found: Study) -> None:
    plots = study_plots(found)
    (work / STUDY_NAME).write_text(found.to_json(), encoding='utf-8')
    (work / PAGE_NAME).write_text(study_page(found, plots), encoding='utf-8')
    for name, (_, svg) in plots.items():
        (work / name).write_text(svg, encoding='utf-8')
