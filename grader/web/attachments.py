"""Files to be saved by the browser: names that every disk takes, and a header that no name can break."""

import unicodedata
from urllib.parse import quote

from grader.collection.piece import Piece
from grader.evidence.names import portable_name

_MOST_TITLE_BYTES = 80


def file_name(piece: Piece, words: str, suffix: str) -> str:
    """Name of a file for a piece, such as "Amber swirl, condition report 2026-03-10.pdf"."""
    title = piece.title or piece.type_of_object or "Piece"
    title = title.encode()[:_MOST_TITLE_BYTES].decode(errors='ignore')
    return portable_name(f"{' '.join(title.split())}, {words}{suffix}")


def disposition(name: str) -> str:
    """Header Content-Disposition for a file to be saved (RFC 6266): a plain name for old programs and the true one."""
    plain = unicodedata.normalize('NFKD', name).encode('ascii', 'ignore').decode()
    plain = ''.join(sign if sign.isalnum() or sign in ' .,-_()' else '_' for sign in plain).strip() or 'file'
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
