"""A text that changes whenever a file or folder does."""

import os


def stamp(path: str) -> str:
    """Times, size and place on the disk; '-' where there is nothing."""
    try:
        found = os.stat(path)
    except OSError:
        return '-'
    return f'{found.st_mtime_ns} {found.st_ctime_ns} {found.st_size} {found.st_ino}'
