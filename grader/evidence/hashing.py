"""Digests of files and bytes."""

import hashlib
import os
from collections.abc import Iterable
from pathlib import Path

from grader.evidence.constants import BLOCK_BYTES


def sha256_of(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def digests_of_bytes(data: bytes, algorithms: Iterable[str]) -> dict[str, str]:
    """Digests in hexadecimal, by the algorithm's name."""
    return {name: hashlib.new(name, data, usedforsecurity=False).hexdigest() for name in algorithms}


def digests_of_file(path: Path, algorithms: Iterable[str]) -> dict[str, str]:
    """Digests in hexadecimal, by the algorithm's name; the file is read once."""
    hashers = {name: hashlib.new(name, usedforsecurity=False) for name in algorithms}
    with path.open('rb') as file:
        while block := file.read(BLOCK_BYTES):
            for hasher in hashers.values():
                hasher.update(block)
    return {name: hasher.hexdigest() for name, hasher in hashers.items()}


def copy_hashed(source: Path, target: Path) -> tuple[str, int]:
    """Copy a file's bytes to a new file and to the disk itself; SHA-256 and count of the bytes that were copied."""
    hasher, n_bytes = hashlib.sha256(), 0
    with source.open('rb') as original, target.open('xb') as copy:
        while block := original.read(BLOCK_BYTES):
            hasher.update(block)
            copy.write(block)
            n_bytes += len(block)
        copy.flush()
        os.fsync(copy.fileno())
    return hasher.hexdigest(), n_bytes


def write_new(path: Path, data: bytes) -> None:
    """Write a new file and see it onto the disk itself."""
    with path.open('xb') as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
