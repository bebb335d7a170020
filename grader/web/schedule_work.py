"""The insurer's schedule: made in a job, then kept in the collection's cache until it is fetched."""

import json
import re
import secrets
from dataclasses import asdict, dataclass
from pathlib import Path

from calib.constants import PAPER_SIZES_MM
from grader.collection.index import SORT_ORDERS
from grader.collection.place import CollectionPlace, open_place, words_for_disk_faults
from grader.commands.report.schedule import make_schedule
from grader.documents.identity import document_number
from grader.documents.pdf_write import pdf_of
from grader.documents.schedule import ScheduleWishes
from grader.errors import JobNotFound
from grader.progress import Progress
from grader.web.wall_constants import KEPT_PAPERS, MAX_NAME_LETTERS

_TOKEN = re.compile(r'[A-Za-z0-9_-]{10,40}', re.ASCII)


@dataclass(frozen=True, slots=True)
class ScheduleForm:
    """What is wanted of a schedule."""

    owner: str
    with_places: bool
    sort: str
    paper: str
    made_at: str
    """Time to state, ISO 8601; '' for none."""


@dataclass(frozen=True, slots=True)
class ReadySchedule:
    """A schedule that was made."""

    token: str
    number: str
    """The document's own number."""
    faults: tuple[str, ...]
    """What could not be read for it."""


def schedule_form(owner: str, with_places: bool, sort: str, paper: str, made_at: str) -> ScheduleForm:
    """What a form asks; whatever makes no sense is taken for the usual."""
    plain = ''.join(sign for sign in owner if sign.isprintable()).strip()[:MAX_NAME_LETTERS]
    return ScheduleForm(
        plain,
        with_places,
        sort if sort in SORT_ORDERS else 'inventory',
        paper if paper in PAPER_SIZES_MM else 'a4',
        made_at,
    )


def work_on_schedule(progress: Progress, root: str, form: ScheduleForm) -> str:
    """Make the schedule; return its page. Runs in a process of its own."""
    place = open_place(Path(root))
    progress.start(2)
    made = make_schedule(place, ScheduleWishes(form.owner, form.with_places, form.made_at), form.sort)
    progress.step("pieces read")
    data = pdf_of(made.document, form.paper)
    progress.step("pages written")
    ready = ReadySchedule(secrets.token_urlsafe(12), document_number(made.document), made.faults)
    folder = _papers(place)
    with words_for_disk_faults(folder):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f'{ready.token}.pdf').write_bytes(data)
        (folder / f'{ready.token}.json').write_text(json.dumps(asdict(ready)), encoding='utf-8')
        _make_room(folder)
    return f'/schedule/{ready.token}'


def ready_schedule(place: CollectionPlace, token: str) -> ReadySchedule:
    """A schedule that was made.

    Raises
    ------
    JobNotFound
        If there is none of this name.
    """
    try:
        fields = json.loads(_file(place, token, '.json').read_text(encoding='utf-8'))
        return ReadySchedule(token, str(fields['number']), tuple(map(str, fields['faults'])))
    except (OSError, ValueError, KeyError, TypeError) as err:
        raise _none_there() from err


def schedule_pdf(place: CollectionPlace, token: str) -> bytes:
    """Its PDF.

    Raises
    ------
    JobNotFound
        If there is none of this name.
    """
    try:
        return _file(place, token, '.pdf').read_bytes()
    except OSError as err:
        raise _none_there() from err


def _file(place: CollectionPlace, token: str, suffix: str) -> Path:
    if not _TOKEN.fullmatch(token):
        raise _none_there()
    return _papers(place) / f'{token}{suffix}'


def _papers(place: CollectionPlace) -> Path:
    return place.own / 'cache' / 'papers'


def _none_there() -> JobNotFound:
    return JobNotFound("This schedule is no longer kept.", "Make it again; the pieces are as they were.")


def _make_room(folder: Path) -> None:
    """Delete the oldest ones."""
    found = sorted(folder.glob('*.pdf'), key=lambda path: path.stat().st_mtime_ns)
    for path in found[:-KEPT_PAPERS]:
        path.unlink(missing_ok=True)
        path.with_suffix('.json').unlink(missing_ok=True)
