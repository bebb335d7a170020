"""Each photo of a draft is judged at once, in the process for short work; what came of it is kept in the draft."""

import logging
from collections.abc import Mapping
from concurrent.futures import Future
from functools import partial
from pathlib import Path
from typing import Any

from calib.errors import ActionableError
from grader.checking import CheckedPhoto, check_photo
from grader.collection.place import CollectionPlace
from grader.errors import JobNotFound
from grader.opencv_pin import pin_opencv
from grader.progress import Progress
from grader.quality_facts import quality_facts
from grader.settings import Settings
from grader.web.draft import Draft, DraftPhoto
from grader.web.drafts import change_draft, photos_of, read_draft
from grader.web.intake import decode_nothing
from grader.web.jobs import JobFailed, Jobs

logger = logging.getLogger(__name__)


def start_checks(jobs: Jobs, place: CollectionPlace, piece_id: str, token: str) -> Draft:
    """Have each photo judged that is not yet, and is not about to be; return the draft.

    After the program was started anew its old jobs are unknown, so their photos are judged again.
    """
    started: list[tuple[str, str, Future[Any]]] = []

    def start(draft: Draft) -> Draft:
        folder, settings = photos_of(place, draft), draft.settings()
        photos = []
        for photo in draft.photos:
            if photo.check is None and not _is_coming(jobs, photo):
                job, future = jobs.submit(
                    'short',
                    f"Judge {photo.name}",
                    draft.address,
                    judge_photo,
                    str(folder / photo.name),
                    settings.model_dump(mode='json'),
                )
                started.append((photo.key, job, future))
                photos.append(photo.model_copy(update={'check_job': job}))
            else:
                photos.append(photo)
        return draft.model_copy(update={'photos': tuple(photos)})

    draft = read_draft(place, piece_id, token)
    if all(photo.check is not None or _is_coming(jobs, photo) for photo in draft.photos):
        return draft
    draft = change_draft(place, piece_id, token, start)
    # Only now that the drafts are free again: a job that is over already tells so at once.
    for key, job, future in started:
        future.add_done_callback(partial(_note, place, piece_id, token, key, job))
    return draft


def get_ready(jobs: Jobs) -> None:
    """Have the processes started in which photos are opened and judged: they take some seconds to load."""
    jobs.warm_up('intake', decode_nothing)
    jobs.warm_up('short', judge_nothing)


def judge_nothing(progress: Progress) -> None:
    """Do no work; all that the work needs is loaded by now."""
    pin_opencv()


def judge_photo(progress: Progress, path: str, settings: Mapping[str, Any]) -> dict[str, Any]:
    """The work itself: a photo's quality, or why it cannot be examined."""
    pin_opencv()
    photo = Path(path)
    try:
        quality = check_photo(photo, Settings.model_validate(settings))
    except ActionableError as err:
        return CheckedPhoto(photo=photo.name, problem=err.problem, remedy=err.remedy).model_dump(mode='json')
    return CheckedPhoto(photo=photo.name, quality=quality_facts(quality)).model_dump(mode='json')


def _is_coming(jobs: Jobs, photo: DraftPhoto) -> bool:
    """Whether a photo's judgement is under way."""
    if not photo.check_job:
        return False
    try:
        return not jobs.state(photo.check_job).is_over
    except JobNotFound:
        return False


def _note(place: CollectionPlace, piece_id: str, token: str, key: str, job: str, future: 'Future[Any]') -> None:
    """Keep what came of a job, unless another one judges the photo by now."""
    try:
        check = CheckedPhoto.model_validate(future.result())
    except JobFailed as err:
        if err.state.state == 'stopped':
            return
        check = CheckedPhoto(photo='', problem=err.state.problem, remedy=err.state.remedy)

    def note(draft: Draft) -> Draft:
        photos = (
            photo.model_copy(update={'check': check.model_copy(update={'photo': photo.name})})
            if (photo.key, photo.check_job) == (key, job)
            else photo
            for photo in draft.photos
        )
        return draft.model_copy(update={'photos': tuple(photos)})

    try:
        change_draft(place, piece_id, token, note)
    except ActionableError as err:
        # Examined or discarded meanwhile, or the disk is full; it is judged again when the page is opened again.
        logger.info('judgement not kept: %s', err)
