"""A piece's folder on the disk."""

import stat
from dataclasses import dataclass
from pathlib import Path

from grader.collection.constants import MAX_PIECE_BYTES
from grader.collection.piece import PIECE_FILE, Piece, piece_from_json
from grader.errors import CollectionUnreadable

EARLIER_FOLDER = 'earlier'
PHOTOS_FOLDER = 'photos'


@dataclass(frozen=True, slots=True)
class StoredPiece:
    """A piece and where it lies."""

    piece: Piece
    folder: Path


def read_piece(folder: Path) -> StoredPiece:
    """Piece in a folder.

    Raises
    ------
    CollectionUnreadable
        If its file cannot be read.
    """
    path, name = folder / PIECE_FILE, f'{folder.name}/{PIECE_FILE}'
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise CollectionUnreadable(f"{name}: this is no plain file.", "Take it back from a copy.")
        if found.st_size > MAX_PIECE_BYTES:
            raise CollectionUnreadable(
                f"{name}: the file has more than {MAX_PIECE_BYTES:,} bytes.", "Take it back from a copy."
            )
        text = path.read_text(encoding='utf-8')
    except OSError as err:
        raise CollectionUnreadable(
            f"{name}: it cannot be opened ({err.strerror or err}).",
            "Each folder in \"pieces\" needs this file: take it back from a copy, or move the folder elsewhere.",
        ) from err
    except UnicodeDecodeError as err:
        raise CollectionUnreadable(
            f"{name}: this is not UTF-8 text.", "Save it as UTF-8 in a text editor, or take it back from a copy."
        ) from err
    return StoredPiece(piece_from_json(text, name), folder)


def next_earlier(folder: Path) -> Path:
    """Free place for the version of ``piece.json`` that is about to be replaced."""
    numbers = [
        int(path.stem.removeprefix('piece-'))
        for path in (folder / EARLIER_FOLDER).glob('piece-*.json')
        if path.stem.removeprefix('piece-').isdecimal()
    ]
    return folder / EARLIER_FOLDER / f'piece-{max(numbers, default=0) + 1:04}.json'
