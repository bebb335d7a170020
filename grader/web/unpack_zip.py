"""Unpacking a zip file from anybody into an empty folder. Everything in it is taken to be hostile until it is checked.

What the file says of itself is checked first; but the sizes in it may be lies, so that the bytes are counted as they
are written too.
"""

import errno
import os
import struct
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISDIR, S_ISLNK, S_ISREG
from typing import BinaryIO

from grader.errors import RecordUnreadable
from grader.evidence.constants import BLOCK_BYTES
from grader.evidence.names import clash_key, clashing, path_fault, shown
from grader.web.zip_constants import (
    MAX_DEPTH,
    MAX_DIRECTORY_BYTES,
    MAX_ENTRIES,
    MAX_PART_BYTES,
    MAX_PATH_BYTES,
    MAX_RATIO,
    MAX_UNPACKED_BYTES,
    RATIO_FROM_BYTES,
)

_END = struct.Struct('<4s4H2LH')
_END_SIGN, _END64_SIGN = b'PK\x05\x06', b'PK\x06\x07'
_END64_BYTES, _MAX_COMMENT = 20, 65535
_ENCRYPTED = 0x1
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    ValueError,
    LookupError,
    OverflowError,
    RuntimeError,
)
_KINDS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_REMEDY = "Ask for the file once more; a sealed bag that this program packs has none of this."
_TRUNCATED = "Ask for the file once more; it may have been cut short on its way."


@dataclass(frozen=True, slots=True)
class ZipLimits:
    """How much is unpacked at most."""

    entries: int = MAX_ENTRIES
    unpacked_bytes: int = MAX_UNPACKED_BYTES
    directory_bytes: int = MAX_DIRECTORY_BYTES


def unpack_zip(source: BinaryIO, folder: Path, limits: ZipLimits | None = None) -> None:
    """Unpack a zip file into an empty folder, or refuse it.

    Raises
    ------
    RecordUnreadable
        If it is no zip file, is damaged, holds anything but plain files under harmless names, or more than may be.
    OSError
        If the disk is full; the folder is the caller's to remove.
    """
    limits = limits or ZipLimits()
    _check_directory(source, limits)
    try:
        with zipfile.ZipFile(source) as packed:
            entries = _checked_entries(packed, limits)
            left = limits.unpacked_bytes
            for entry in entries:
                left -= _unpack_one(packed, entry, folder, left)
    except _DAMAGE as err:
        raise RecordUnreadable("This zip file is damaged, or is none at all.", _TRUNCATED) from err
    except OSError as err:
        # Places within the file that cannot be are no fault of the disk.
        if err.errno != errno.EINVAL:
            raise
        raise RecordUnreadable("This zip file is damaged, or is none at all.", _TRUNCATED) from err


def _check_directory(source: BinaryIO, limits: ZipLimits) -> None:
    """Check the list of contents before it is read whole: it alone could fill the memory."""
    n_bytes = source.seek(0, os.SEEK_END)
    tail_at = max(n_bytes - _END.size - _MAX_COMMENT - _END64_BYTES, 0)
    source.seek(tail_at)
    tail = source.read()
    at = len(tail) - _END.size
    if at < 0 or tail[at : at + 4] != _END_SIGN or tail[-2:] != b'\0\0':
        at = tail.rfind(_END_SIGN)
    if at < 0 or at + _END.size > len(tail):
        raise RecordUnreadable("This is no zip file, or its end is missing.", _TRUNCATED)
    _, _, _, _, n_entries, directory_bytes, _, _ = _END.unpack_from(tail, at)
    if tail[max(at - _END64_BYTES, 0) : at].startswith(_END64_SIGN):
        raise RecordUnreadable("This zip file is of the kind for more than 4 GB, and sealed bags are smaller.", _REMEDY)
    if n_entries > limits.entries or directory_bytes > limits.directory_bytes:
        raise RecordUnreadable(
            f"There are too many files in this zip file ({n_entries:,}; at most {limits.entries:,} are unpacked).",
            _REMEDY,
        )
    source.seek(0)


def _checked_entries(packed: zipfile.ZipFile, limits: ZipLimits) -> list[zipfile.ZipInfo]:
    """Entries that are files, after all entries were checked."""
    entries = packed.infolist()
    if len(entries) > limits.entries:
        raise RecordUnreadable(f"There are too many files in this zip file ({len(entries):,}).", _REMEDY)
    for entry in entries:
        fault = _fault_of(entry)
        if fault:
            raise RecordUnreadable(f"In this zip file, {shown(entry.orig_filename)[:200]!r} {fault}.", _REMEDY)
    files = [entry for entry in entries if not entry.is_dir()]
    _check_names(
        [entry.filename for entry in files], [entry.filename.rstrip('/') for entry in entries if entry.is_dir()]
    )
    total = sum(entry.file_size for entry in files)
    if total > limits.unpacked_bytes:
        raise RecordUnreadable(
            f"Unpacked, this zip file would have {total:,} bytes, and at most {limits.unpacked_bytes:,} are unpacked.",
            _REMEDY,
        )
    return files


def _fault_of(entry: zipfile.ZipInfo) -> str:
    """Why an entry is refused, as words behind its name; '' where it is not."""
    # The name as it stands in the file: the library cuts it at a zero byte and turns some signs into slashes.
    name = entry.orig_filename
    fault = path_fault(name.removesuffix('/'))
    if fault:
        return fault
    if name != entry.filename:
        return "is written in a roundabout way"
    parts = name.rstrip('/').split('/')
    if (
        len(name.encode()) > MAX_PATH_BYTES
        or len(parts) > MAX_DEPTH
        or any(len(part.encode()) > MAX_PART_BYTES for part in parts)
    ):
        return "has too long a name, or lies too deep"
    mode = entry.external_attr >> 16
    if S_ISLNK(mode):
        return "is a link"
    if mode & 0o170000 and not (S_ISREG(mode) or S_ISDIR(mode)):
        return "is no ordinary file"
    if entry.flag_bits & _ENCRYPTED:
        return "is locked with a password"
    if entry.compress_type not in _KINDS:
        return "is packed in a way that is not known here"
    return _ratio_fault(entry.file_size, entry.compress_size)


def _ratio_fault(n_bytes: int, packed_bytes: int) -> str:
    if n_bytes > RATIO_FROM_BYTES and n_bytes > MAX_RATIO * max(packed_bytes, 1):
        return f"would swell to more than {MAX_RATIO} times its size"
    return ''


def _check_names(files: list[str], folders: list[str]) -> None:
    """Check that no two entries are one place on some disk, and that no file is also a folder."""
    if len(set(files)) < len(files):
        raise RecordUnreadable("Two files in this zip file have the same name.", _REMEDY)
    groups = clashing(files)
    if groups:
        names = ', '.join(shown(name) for name in groups[0])
        raise RecordUnreadable(f"Files in this zip file are one on some disks: {names}.", _REMEDY)
    above = {clash_key(name) for name in folders}
    for name in files:
        parts = name.split('/')[:-1]
        above |= {clash_key('/'.join(parts[: k + 1])) for k in range(len(parts))}
    for name in files:
        if clash_key(name) in above:
            raise RecordUnreadable(f"In this zip file, {shown(name)!r} is a file and a folder.", _REMEDY)


def _unpack_one(packed: zipfile.ZipFile, entry: zipfile.ZipInfo, folder: Path, left: int) -> int:
    """Unpack one file; return its bytes."""
    target = folder.joinpath(*entry.filename.split('/'))
    target.parent.mkdir(parents=True, exist_ok=True)
    n_bytes = 0
    with packed.open(entry) as source, target.open('xb') as written:
        while block := source.read(BLOCK_BYTES):
            n_bytes += len(block)
            if n_bytes > min(left, entry.file_size):
                raise RecordUnreadable(f"In this zip file, {shown(entry.filename)!r} is larger than it says.", _REMEDY)
            written.write(block)
    return n_bytes
