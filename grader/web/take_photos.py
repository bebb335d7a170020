"""From what was sent to photos of a draft: received, decoded, put in place, and judged."""

from collections.abc import AsyncIterable

from starlette.concurrency import run_in_threadpool

from grader.collection.place import CollectionPlace
from grader.errors import UploadRefused
from grader.web.draft import Draft
from grader.web.draft_checks import start_checks
from grader.web.draft_options import with_profile
from grader.web.draft_photos import Added, add_photos
from grader.web.drafts import change_draft, read_draft
from grader.web.intake import decode_all
from grader.web.jobs import Jobs
from grader.web.uploads import incoming_folder, receive_form


async def take_photos(
    jobs: Jobs,
    place: CollectionPlace,
    piece_id: str,
    token: str,
    content_type: str,
    stream: AsyncIterable[bytes],
) -> Added:
    """Take photos into a draft; what fails on the way leaves nothing behind.

    Raises
    ------
    DraftNotFound
        If there is no such draft (any more).
    UploadRefused
        If what was sent cannot be read, or holds no photo, or too much.
    OutputNotWritable
        If the disk is full.
    """
    draft = await run_in_threadpool(read_draft, place, piece_id, token)
    with incoming_folder(place.own / 'incoming') as folder:
        form = await receive_form(content_type, stream, folder)
        if not form.files:
            raise UploadRefused("No photo was chosen.", "Choose or take at least one, then send it.")
        decoded = await run_in_threadpool(decode_all, jobs, form.files, draft.address)
        added = await run_in_threadpool(add_photos, place, piece_id, token, decoded)
    if added.names:
        await run_in_threadpool(start_checks, jobs, place, piece_id, token)
    return added


async def take_profile(
    place: CollectionPlace, piece_id: str, token: str, content_type: str, stream: AsyncIterable[bytes]
) -> Draft:
    """Take a camera's own profile into a draft; return the draft.

    Raises
    ------
    DraftNotFound
        If there is no such draft (any more).
    SettingsInvalid
        If the file is no profile.
    UploadRefused
        If what was sent cannot be read, or holds no file.
    """
    await run_in_threadpool(read_draft, place, piece_id, token)
    with incoming_folder(place.own / 'incoming') as folder:
        form = await receive_form(content_type, stream, folder)
        if not form.files:
            raise UploadRefused("No file was chosen.", "Choose the camera profile, then send it.")
        text = await run_in_threadpool(form.files[0].path.read_bytes)
    return await run_in_threadpool(change_draft, place, piece_id, token, lambda draft: with_profile(draft, text))
