"""From what was sent to photos of a draft: received, decoded, put in place, and judged."""

from collections.abc import AsyncIterable

from starlette.concurrency import run_in_threadpool

from grader.collection.place import CollectionPlace
from grader.errors import UploadRefused
from grader.web.draft_checks import start_checks
from grader.web.draft_photos import Added, add_photos
from grader.web.drafts import read_draft
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
