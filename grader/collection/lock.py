"""One writer at a time.

The lock is the operating system's, so it ends with the program that holds it, however that ends; nothing is left to
clear away. The name of the holder is written beside it only to be told.
"""

import contextlib
import json
import os
import socket
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout

from grader.collection.change import finish_changes
from grader.collection.constants import LOCK_WAIT_S
from grader.collection.place import CollectionPlace, words_for_disk_faults
from grader.errors import CollectionBusy

_LOCK_FILE = 'lock'
_HOLDER_FILE = 'lock-holder.json'


@contextlib.contextmanager
def locked(place: CollectionPlace, purpose: str, *, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Have the collection for oneself, with all earlier changes finished.

    Parameters
    ----------
    place
        The collection.
    purpose
        Name of the command, to be told to others who wait.
    wait_s
        How long to wait for another program.

    Raises
    ------
    CollectionBusy
        If another program keeps it longer.
    OutputNotWritable
        If the folder cannot be written.
    """
    with words_for_disk_faults(place.root):
        place.own.mkdir(exist_ok=True)
        lock = FileLock(place.own / _LOCK_FILE)
        try:
            lock.acquire(timeout=wait_s)
        except Timeout:
            raise CollectionBusy(
                f"{place.root}: another program is changing the collection{_holder_words(place.own)}.",
                "Wait until it is done, then try again.",
            ) from None
        try:
            _write_holder(place.own / _HOLDER_FILE, purpose)
            finish_changes(place)
            yield
        finally:
            (place.own / _HOLDER_FILE).unlink(missing_ok=True)
            lock.release()


def _write_holder(path: Path, purpose: str) -> None:
    now = datetime.now().astimezone().isoformat(timespec='seconds')
    fields = {'command': purpose, 'process': os.getpid(), 'computer': socket.gethostname(), 'since': now}
    path.write_text(json.dumps(fields), encoding='utf-8')


def _holder_words(own: Path) -> str:
    """Who holds the lock, where that can be told."""
    try:
        holder = json.loads((own / _HOLDER_FILE).read_text(encoding='utf-8'))
        return f" ({holder['command']}, process {holder['process']} on {holder['computer']}, since {holder['since']})"
    except (OSError, ValueError, KeyError, TypeError):
        return ""
