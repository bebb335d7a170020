"""The files of a bag as they lie on the disk. No link is followed, and nothing but ordinary files is opened."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISDIR, S_ISREG
from unicodedata import normalize

from grader.evidence.constants import MAX_TAG_FILE_BYTES
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.hashing import digests_of_bytes, digests_of_file
from grader.evidence.layout import PAYLOAD, RECORDS


@dataclass(frozen=True, slots=True, eq=False)
class BagFiles:
    """All files under a bag's folder."""

    root: Path
    sizes: Mapping[str, int]
    """Bytes of each ordinary file, by its path from the root with "/"."""
    folders: tuple[str, ...]
    """Paths of all folders below the root."""
    contents: Mapping[str, bytes]
    """Bytes of the tag files and the record: read once, so that what is hashed is what is read."""
    spellings: Mapping[str, tuple[str, ...]]
    """Paths of the ordinary files by what they are with all accents spelled in one way (NFC)."""
    faults: tuple[BagFault, ...]
    """Links, devices and the like, and files that cannot be opened."""

    @property
    def payload(self) -> tuple[str, ...]:
        """Paths of the payload, sorted."""
        return tuple(path for path in sorted(self.sizes) if path.startswith(PAYLOAD))

    @property
    def tag_files(self) -> tuple[str, ...]:
        """Paths of all other files, sorted."""
        return tuple(path for path in sorted(self.sizes) if not path.startswith(PAYLOAD))

    def spelled_on_disk(self, path: str) -> str:
        """Name of a listed file on this disk, which may spell accents otherwise; the path itself where it is not there.

        Letter case is not passed over.
        """
        if path in self.sizes:
            return path
        alike = self.spellings.get(normalize('NFC', path), ())
        return alike[0] if len(alike) == 1 else path

    def digests(self, path: str, algorithms: tuple[str, ...]) -> dict[str, str]:
        """Digests of a file in hexadecimal, by algorithm.

        Raises
        ------
        OSError
            If it cannot be read.
        """
        if path in self.contents:
            return digests_of_bytes(self.contents[path], algorithms)
        return digests_of_file(self.root / path, algorithms)


def files_of_bag(root: Path) -> BagFiles:
    """Look through a bag's folder, and read its tag files and its record."""
    sizes: dict[str, int] = {}
    folders: list[str] = []
    contents: dict[str, bytes] = {}
    faults: list[BagFault] = []
    for path, mode, n_bytes in _walk(root, faults):
        if S_ISDIR(mode):
            folders.append(path)
        elif S_ISREG(mode):
            sizes[path] = n_bytes
            if path in RECORDS or not path.startswith(PAYLOAD):
                _read(root, path, n_bytes, contents, faults)
        else:
            words = "is a link or no ordinary file; it was not opened, and a bag must hold none."
            faults.append(BagFault(FaultKind.PATH, path, words))
    spellings: dict[str, tuple[str, ...]] = {}
    for path in sorted(sizes):
        key = normalize('NFC', path)
        spellings[key] = (*spellings.get(key, ()), path)
    return BagFiles(root, sizes, tuple(sorted(folders)), contents, spellings, tuple(sorted(faults, key=str)))


def _walk(root: Path, faults: list[BagFault]) -> Iterator[tuple[str, int, int]]:
    """Path, mode and bytes of all that lies in a folder and below it, in no order; however deep."""
    left = ['']
    while left:
        place = left.pop()
        try:
            with os.scandir(root / place) as found:
                states = [(entry.name, entry.stat(follow_symlinks=False)) for entry in found]
        except OSError as err:
            words = f"the folder cannot be opened ({err.strerror or err})."
            faults.append(BagFault(FaultKind.STRUCTURE, place.rstrip('/'), words))
            continue
        for name, state in states:
            yield place + name, state.st_mode, state.st_size
            if S_ISDIR(state.st_mode):
                left.append(f'{place}{name}/')


def _read(root: Path, path: str, n_bytes: int, contents: dict[str, bytes], faults: list[BagFault]) -> None:
    if n_bytes > MAX_TAG_FILE_BYTES:
        return
    try:
        contents[path] = (root / path).read_bytes()
    except OSError as err:
        faults.append(BagFault(FaultKind.STRUCTURE, path, f"cannot be opened ({err.strerror or err})."))
