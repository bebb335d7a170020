"""Examining a draft: the same examination as on the command line, then stored with the piece."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from calib.errors import ActionableError
from grader.collection.examinations import examinations_of, is_sealed
from grader.collection.index import index_for_changing
from grader.collection.place import CollectionPlace, open_place, words_for_disk_faults
from grader.collection.store_examination import store_examination
from grader.commands.results import RECORD_NAME, write_results
from grader.errors import CollectionBusy, DraftNotFound, JobNotFound, PhotoSetUnusable, PieceNotFound, UploadRefused
from grader.pipeline import examine_photos
from grader.progress import Progress
from grader.web.desk import PURPOSE
from grader.web.draft import Draft
from grader.web.drafts import change_draft, discard_draft, photos_of, read_draft
from grader.web.jobs import Jobs, JobState
from grader.web.upload_constants import STORE_TRIES
from grader.web.uploads import incoming_folder


def start_examination(jobs: Jobs, place: CollectionPlace, piece_id: str, token: str) -> str:
    """Have a draft examined, once however often it is asked for; return the job's token.

    Raises
    ------
    DraftNotFound
        If it does not wait any more.
    PhotoSetUnusable
        If it holds no photo.
    """

    def start(draft: Draft) -> Draft:
        if is_examined(jobs, draft):
            return draft
        if not draft.photos:
            raise PhotoSetUnusable("There is no photo to examine yet.", "Take or choose at least one.")
        count = "1 photo" if len(draft.photos) == 1 else f"{len(draft.photos)} photos"
        job, _ = jobs.submit(
            'long', f"Examining {count}", draft.address, examine_draft, str(place.root), piece_id, token
        )
        return draft.model_copy(update={'examine_job': job})

    return change_draft(place, piece_id, token, start).examine_job


def is_examined(jobs: Jobs, draft: Draft) -> bool:
    """Whether a draft is being examined, or about to be."""
    try:
        return bool(draft.examine_job) and not jobs.state(draft.examine_job).is_over
    except JobNotFound:
        return False


def last_fault(jobs: Jobs, draft: Draft) -> JobState | None:
    """State of the last examination where it failed; None where there was none, or it did not."""
    try:
        state = jobs.state(draft.examine_job)
    except JobNotFound:
        return None
    return state if state.state == 'failed' else None


def check_not_examined(jobs: Jobs, draft: Draft) -> None:
    """Complain of a change to photos that are being examined.

    Raises
    ------
    UploadRefused
        If they are.
    """
    if is_examined(jobs, draft):
        raise UploadRefused(
            "These photos are being examined at this moment, so they cannot be changed.",
            "Wait until that is done, or stop it first.",
        )


def examine_draft(progress: Progress, root: str, piece_id: str, token: str) -> str:
    """The work itself; return the page of the examination.

    Raises
    ------
    ActionableError
        If it cannot be examined or stored; then the draft stays.
    """
    place = open_place(Path(root))
    draft = read_draft(place, piece_id, token)
    photos = [photos_of(place, draft) / photo.name for photo in draft.photos]
    # Besides the photos: the pictures, and storing.
    progress.start(2)
    try:
        examination = examine_photos(photos, draft.settings(), now=draft.stated_time(), progress=progress)
    except ActionableError:
        _check_still_waits(place, draft)
        raise
    with words_for_disk_faults(place.root), incoming_folder(place.own / 'incoming') as work:
        progress.begin("drawing the marked pictures")
        write_results(examination, work)
        progress.step("the marked pictures")
        progress.begin("storing")
        number = _stored(place, draft, work, photos)
        progress.step("stored")
    return f'/pieces/{piece_id}/examinations/{number}'


@dataclass(frozen=True, slots=True)
class _Target:
    place: CollectionPlace
    draft: Draft
    work: Path
    photos: Sequence[Path]


def _stored(place: CollectionPlace, draft: Draft, work: Path, photos: Sequence[Path]) -> int:
    """Store the results with the piece and take the draft away; return the examination's number."""
    target = _Target(place, draft, work, photos)
    for _ in range(STORE_TRIES - 1):
        try:
            return _store_once(target)
        except CollectionBusy:
            continue
    return _store_once(target)


def _store_once(target: _Target) -> int:
    place, draft = target.place, target.draft
    with index_for_changing(place, PURPOSE) as index:
        folders = index.folders_where('id', draft.piece_id)
        if len(folders) != 1:
            raise PieceNotFound(
                "The piece was removed while its photos were examined, so nothing was stored.",
                "The photos still wait: put the piece's folder back from the trash, and examine them again.",
            )
        folder = place.pieces / folders[0]
        _check_still_waits(place, draft)
        number = _number_of_same(folder, (target.work / RECORD_NAME).read_bytes())
        if number is None:
            done = store_examination(place, folder, target.work, target.photos)
            number = int(done.folder.name[:4])
        discard_draft(place, draft.piece_id, draft.token)
    return number


def _check_still_waits(place: CollectionPlace, draft: Draft) -> None:
    """Complain where the draft was discarded, or another photo removed or added, while it was examined."""
    try:
        now = read_draft(place, draft.piece_id, draft.token)
    except DraftNotFound as err:
        raise DraftNotFound(
            "The photos were discarded while they were examined, so nothing was stored.", "Go to the piece."
        ) from err
    if [photo.sha256 for photo in now.photos] != [photo.sha256 for photo in draft.photos]:
        raise DraftNotFound(
            "Photos were added or removed while they were examined, so nothing was stored.",
            "Look at the photos, and have them examined again.",
        )


def _number_of_same(piece_folder: Path, record: bytes) -> int | None:
    """Number of the open examination that has this very record, None where there is none.

    The same photos, examined alike, give the same record: so it was stored before, and the program stopped before
    the draft was taken away.
    """
    for one in examinations_of(piece_folder):
        path = one.record_file()
        if path is not None and not is_sealed(one.folder) and path.read_bytes() == record:
            return one.number
    return None
