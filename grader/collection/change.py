"""Several changes to a collection that come true together or not at all, whenever the program is stopped.

All that is new is first written beside the pieces, under ``.grader/work``. Then one file, ``moves.json``, is renamed
into place there: from that moment the change counts. After it only renames are left, which whoever holds the lock
next finishes if the program is stopped between them. A change without ``moves.json`` never happened and is swept away.
"""

import json
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from grader.collection.durable import copy_durably, copy_folder_durably, settle_folder, write_durably
from grader.collection.place import CollectionPlace
from grader.errors import CollectionUnreadable

_MOVES_FILE = 'moves.json'


@dataclass(slots=True)
class Change:
    """A change that is being put together; to be made under the lock."""

    place: CollectionPlace
    work: Path
    """Folder of what is new."""
    moves: list[tuple[str, str]] = field(default_factory=list)
    """What is renamed in the end, from and to, as seen from the collection's folder."""

    def put_file(self, target: Path, content: bytes) -> None:
        """Have a file with this content, in place of one that may be there."""
        write_durably(self._staged(target), content)

    def new_folder(self, target: Path) -> Path:
        """Have a folder; return where to fill it now."""
        staged = self._staged(target)
        staged.mkdir()
        return staged

    def copy_file(self, source: Path, target: Path) -> None:
        """Have a copy of a file."""
        copy_durably(source, self._staged(target))

    def copy_folder(self, source: Path, target: Path) -> Path:
        """Have a copy of a folder; return where it lies now, so that more can be put into it."""
        staged = self._staged(target)
        copy_folder_durably(source, staged)
        return staged

    def move(self, source: Path, target: Path) -> None:
        """Have something elsewhere."""
        self.moves.append((self._from_root(source), self._from_root(target)))

    def commit(self) -> None:
        """Make it true."""
        for staged in sorted(self.work.rglob('*')):
            if staged.is_dir():
                settle_folder(staged)
        settle_folder(self.work)
        draft = self.work / f'{_MOVES_FILE}.draft'
        write_durably(draft, json.dumps(self.moves, ensure_ascii=False).encode())
        draft.replace(self.work / _MOVES_FILE)
        settle_folder(self.work)
        _finish(self.place, self.work)

    def _staged(self, target: Path) -> Path:
        staged = self.work / f'{len(self.moves):06}'
        self.moves.append((self._from_root(staged), self._from_root(target)))
        return staged

    def _from_root(self, path: Path) -> str:
        return path.relative_to(self.place.root).as_posix()


@contextmanager
def change_of(place: CollectionPlace) -> Iterator[Change]:
    """Change that comes true when the block ends well, and never was when it does not."""
    work = place.work / secrets.token_hex(8)
    try:
        work.mkdir(parents=True)
        change = Change(place, work)
        yield change
        change.commit()
    except BaseException:
        if not (work / _MOVES_FILE).exists():
            shutil.rmtree(work, ignore_errors=True)
        raise


def finish_changes(place: CollectionPlace) -> None:
    """Finish what counted when a program was stopped, and sweep away what did not; to be called under the lock."""
    if not place.work.is_dir():
        return
    for work in sorted(place.work.iterdir()):
        if work.is_dir():
            _finish(place, work)


def _finish(place: CollectionPlace, work: Path) -> None:
    if (work / _MOVES_FILE).exists():
        touched = set()
        for source, target in _read_moves(place, work):
            if source.exists():
                target.parent.mkdir(parents=True, exist_ok=True)
                os.replace(source, target)
            touched |= {target.parent, source.parent}
        for folder in sorted(touched):
            if folder.is_dir():
                settle_folder(folder)
        (work / _MOVES_FILE).unlink()
    shutil.rmtree(work)


def _read_moves(place: CollectionPlace, work: Path) -> list[tuple[Path, Path]]:
    path = work / _MOVES_FILE
    try:
        moves = [(PurePosixPath(source), PurePosixPath(target)) for source, target in json.loads(path.read_bytes())]
    except (ValueError, TypeError) as err:
        raise CollectionUnreadable(
            f"{path}: the list of an unfinished change is damaged ({err}).",
            "Keep a copy of this file's folder, then move that folder out of the collection.",
        ) from err
    for one in (one for pair in moves for one in pair):
        if one.is_absolute() or '..' in one.parts:
            raise CollectionUnreadable(
                f"{path}: the list of an unfinished change names a place outside the collection ({one}).",
                "The folder has been tampered with: take the collection from a copy that you trust.",
            )
    return [(place.root / source, place.root / target) for source, target in moves]
