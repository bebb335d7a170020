"""Files sent to the page: to a folder of their own while they are looked at, and gone with it."""

import secrets
import shutil
import time
from collections.abc import AsyncIterable, Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from starlette.concurrency import run_in_threadpool

from grader.errors import OutputNotWritable
from grader.web.form_parts import FormLimits, FormParts, SentFile, open_new
from grader.web.upload_constants import (
    FEED_BYTES,
    LEFTOVER_AGE_S,
    MAX_FIELD_BYTES,
    MAX_FILE_BYTES,
    MAX_REQUEST_FIELDS,
    MAX_REQUEST_FILES,
)

PHOTO_LIMITS = FormLimits(MAX_FILE_BYTES, MAX_REQUEST_FILES, MAX_FIELD_BYTES, MAX_REQUEST_FIELDS)


@dataclass(frozen=True, slots=True)
class SentForm:
    """A form that came in whole."""

    fields: tuple[tuple[str, str], ...]
    files: tuple[SentFile, ...]


@contextmanager
def incoming_folder(parent: Path) -> Iterator[Path]:
    """New folder within `parent`, gone with all in it when the block is left; so are old leftovers of stopped programs.

    Raises
    ------
    OutputNotWritable
        If it cannot be made.
    """
    folder = parent / secrets.token_hex(8)
    try:
        _sweep(parent)
        folder.mkdir(parents=True)
    except OSError as err:
        raise not_writable(err) from err
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


async def receive_form(
    content_type: str,
    stream: AsyncIterable[bytes],
    folder: Path,
    limits: FormLimits = PHOTO_LIMITS,
    opened: Callable[[Path], BinaryIO] = open_new,
) -> SentForm:
    """Take in a form with files as it comes; nothing of it is kept in memory.

    Parameters
    ----------
    content_type
        Header of the request.
    stream
        Its body.
    folder
        From `incoming_folder`: what is half there when this fails goes with it.
    limits
        What it may hold at most.
    opened
        Opens a new file.

    Raises
    ------
    UploadRefused
        If it cannot be read, or holds more than the limits allow.
    OutputNotWritable
        If the disk is full.
    """
    parts = FormParts(content_type, folder, limits, opened)
    waiting = bytearray()
    try:
        async for piece in stream:
            waiting += piece
            if len(waiting) >= FEED_BYTES:
                await run_in_threadpool(parts.feed, bytes(waiting))
                waiting.clear()
        await run_in_threadpool(parts.feed, bytes(waiting))
    except OSError as err:
        raise not_writable(err) from err
    finally:
        parts.close()
    fields, files = parts.end()
    return SentForm(tuple(fields), tuple(files))


def not_writable(err: OSError) -> OutputNotWritable:
    """A fault of the disk in words."""
    return OutputNotWritable(
        f"The photos cannot be written to the collection's disk ({err.strerror or err}).",
        "Make room on that disk, or check that you may write there; then send them again. Nothing was stored of them.",
    )


def _sweep(parent: Path) -> None:
    if not parent.is_dir():
        return
    for entry in parent.iterdir():
        # another upload may end, and its folder go, at this moment
        with suppress(FileNotFoundError):
            if time.time() - entry.stat().st_mtime > LEFTOVER_AGE_S:
                shutil.rmtree(entry, ignore_errors=True)
