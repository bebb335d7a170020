"""Files that are on the disk, not only on their way there, before anything relies on them."""

import os
import shutil
import stat
from pathlib import Path
from typing import BinaryIO

from grader.errors import SettingsInvalid


def write_durably(path: Path, content: bytes) -> None:
    """Write a new file, and wait until the disk has it."""
    with path.open('xb') as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def copy_durably(source: Path, target: Path) -> None:
    """Copy one plain file with its time of change, and wait until the disk has it.

    Raises
    ------
    SettingsInvalid
        If the source is a link or nothing that can be copied.
    """
    if not stat.S_ISREG(source.lstat().st_mode):
        raise SettingsInvalid(
            f"{source}: this is a link or no plain file, and only plain files are stored.",
            "Replace it by the file itself, or take it out of the folder.",
        )
    with _open_source(source) as read, target.open('xb') as written:
        shutil.copyfileobj(read, written)
        written.flush()
        os.fsync(written.fileno())
    shutil.copystat(source, target)


def _open_source(source: Path) -> BinaryIO:
    try:
        return source.open('rb')
    except OSError as err:
        raise SettingsInvalid(
            f"{source}: it cannot be read ({err.strerror or err}).", "Check that you may read it; nothing was changed."
        ) from err


def copy_folder_durably(source: Path, target: Path) -> None:
    """Copy a folder with all that lies in it into a new one.

    Raises
    ------
    SettingsInvalid
        If a link or something that cannot be copied lies in it.
    """
    target.mkdir()
    for entry in sorted(source.iterdir()):
        if entry.is_dir() and not entry.is_symlink():
            copy_folder_durably(entry, target / entry.name)
        else:
            copy_durably(entry, target / entry.name)
    settle_folder(target)


def settle_folder(folder: Path) -> None:
    """Wait until the disk has the names in a folder, where the system can tell."""
    if not hasattr(os, 'O_DIRECTORY'):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
