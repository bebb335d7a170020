"""Where things lie in a collection's folder, and making a new one."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from grader.collection.durable import settle_folder, write_durably
from grader.errors import CollectionNotFound, CollectionUnreadable, OutputNotWritable, repeated

COLLECTION_VERSION = 1
COLLECTION_FILE = 'collection.json'
WORDS_FILE = 'ABOUT THIS FOLDER.txt'

_WORDS = """\
This folder is a collection of glass, kept by the program "grader". It can be read without it.

pieces/           One folder a piece; in it, as far as there are any:
  piece.json      What is known of the piece: plain text, under the headings of Object ID.
  photos/         The owner's photos of it.
  examinations/   One folder an examination, counted from 0001: record, pictures, photos.
  comparisons/    One folder a comparison of two examinations, counted from 0001: comparison, pictures, page.
  sealed/         One sealed bag an entry, counted from 0001, each tied to the one before; seal/how-to-check.txt in it.
  earlier/        Earlier versions of piece.json.
trash/            What was removed, by the day. Nothing is deleted: move a folder back into pieces/ to have it again.
.grader/          The program's own: an index for fast search and in cache/ small pictures (both may be deleted and are
                  made anew), in drafts/ photos that wait to be examined, a lock, unfinished work.

To keep it safe, copy the whole folder to another disk from time to time.
"""


@dataclass(frozen=True, slots=True)
class CollectionPlace:
    """Folder of a collection."""

    root: Path

    @property
    def pieces(self) -> Path:
        """Folder of the pieces."""
        return self.root / 'pieces'

    @property
    def trash(self) -> Path:
        """Folder of what was removed."""
        return self.root / 'trash'

    @property
    def own(self) -> Path:
        """Folder of what is the program's own."""
        return self.root / '.grader'

    @property
    def work(self) -> Path:
        """Folder of unfinished work."""
        return self.own / 'work'


def create_place(root: Path) -> CollectionPlace:
    """Make an empty collection; what marks it as one is written last.

    Raises
    ------
    OutputNotWritable
        If the folder is not empty, or cannot be written.
    """
    place = CollectionPlace(root)
    if (root / COLLECTION_FILE).exists():
        raise OutputNotWritable(f"{root}: there is a collection already.", "Give another folder, or use this one.")
    if root.exists() and (not root.is_dir() or not _holds_only_a_start(root)):
        raise OutputNotWritable(
            f"{root}: a collection needs a folder of its own, and something else lies there.",
            "Give the name of a new or empty folder.",
        )
    with words_for_disk_faults(root):
        for folder in (place.pieces, place.trash, place.work):
            folder.mkdir(parents=True, exist_ok=True)
        (root / WORDS_FILE).write_text(_WORDS, encoding='utf-8')
        start = place.work / COLLECTION_FILE
        start.unlink(missing_ok=True)
        write_durably(start, (json.dumps({'collection_version': COLLECTION_VERSION}) + '\n').encode())
        start.replace(root / COLLECTION_FILE)
        settle_folder(root)
    return place


def open_place(root: Path) -> CollectionPlace:
    """Collection in a folder.

    Raises
    ------
    CollectionNotFound
        If there is none.
    CollectionUnreadable
        If it is of a version that this program does not know.
    """
    try:
        fields = json.loads((root / COLLECTION_FILE).read_text(encoding='utf-8'))
    except (FileNotFoundError, NotADirectoryError) as err:
        raise CollectionNotFound(
            f"{root}: there is no collection in this folder.",
            "Name its folder with --collection, or make one with \"grader collection create\".",
        ) from err
    except (OSError, ValueError, RecursionError) as err:
        raise CollectionUnreadable(
            f"{root / COLLECTION_FILE}: it cannot be read ({err}).",
            f"It must hold {{\"collection_version\": {COLLECTION_VERSION}}}; write that, or take it from a copy.",
        ) from err
    version = fields.get('collection_version') if isinstance(fields, dict) else None
    if version != COLLECTION_VERSION:
        raise CollectionUnreadable(
            f"{root}: the collection is of version {repeated(version)}, and version {COLLECTION_VERSION} is needed.",
            "Use a newer grader for a newer collection; nothing was changed.",
        )
    return CollectionPlace(root)


@contextmanager
def words_for_disk_faults(path: Path) -> Iterator[None]:
    """Tell a full or read-only disk in words.

    Raises
    ------
    OutputNotWritable
        In place of the system's error.
    """
    try:
        yield
    except OSError as err:
        raise OutputNotWritable(
            f"{path}: it cannot be written ({err.strerror or err}).",
            "Check that there is room on the disk and that you may write there. Nothing is lost: the change was made "
            "whole, or not at all.",
        ) from err


def _holds_only_a_start(root: Path) -> bool:
    """Whether a folder is empty but for what a stopped `create_place` leaves."""
    return {entry.name for entry in root.iterdir()} <= {'pieces', 'trash', '.grader', WORDS_FILE} and not any(
        any((root / name).iterdir()) for name in ('pieces', 'trash') if (root / name).is_dir()
    )
