"""Pieces as one JSON file: ``{"pieces": [...]}``, each as in its ``piece.json``."""

import json
import re
from collections.abc import Iterable, Iterator
from typing import Any

from grader.collection.import_faults import Candidate, Faults
from grader.collection.piece import PIECE_VERSION, Piece
from grader.errors import repeated

EXPORT_VERSION = 1
_SPACE = re.compile(r'[ \t\r\n]*')


def to_json(pieces: Iterable[Piece]) -> str:
    """Text of the file."""
    fields = {'export_version': EXPORT_VERSION, 'pieces': [piece.model_dump(mode='json') for piece in pieces]}
    return json.dumps(fields, indent=1, ensure_ascii=False) + '\n'


def from_json(text: str) -> tuple[tuple[Candidate, ...], Faults]:
    """Pieces of a file, each with the line on which it begins, and the faults of the file itself.

    Fields may be left out; empty ones are.
    """
    text = text.removeprefix('\ufeff')
    try:
        fields = json.loads(text)
    except json.JSONDecodeError as err:
        return (), ((err.lineno, f"this is not JSON text: {err.msg}"),)
    except ValueError:
        return (), ((1, "there is a number with too many digits"),)
    except RecursionError:
        return (), ((1, "this is nested too deeply"),)
    if not isinstance(fields, dict) or not isinstance(fields.get('pieces'), list):
        return (), ((1, "there is no list \"pieces\""),)
    if fields.get('export_version') != EXPORT_VERSION:
        return (), (
            (1, f"the file is of version {repeated(fields.get('export_version'))}, and {EXPORT_VERSION} is needed"),
        )
    candidates, faults = [], []
    for line, piece in zip(_lines_of_pieces(text), fields['pieces'], strict=True):
        if not isinstance(piece, dict):
            faults.append((line, "this is no piece: fields in braces are needed"))
        elif piece.get('piece_version', PIECE_VERSION) != PIECE_VERSION:
            faults.append(
                (line, f"the piece is of version {repeated(piece['piece_version'])}, and {PIECE_VERSION} is needed")
            )
        else:
            candidates.append(Candidate(line, _without_empty(piece)))
    return tuple(candidates), tuple(faults)


def _without_empty(piece: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in piece.items() if value not in ('', None, []) and name != 'piece_version'}


def _lines_of_pieces(text: str) -> Iterator[int]:
    """Line on which each entry of "pieces" begins; the text is known to be right JSON with such a list."""
    decoder = json.JSONDecoder()
    at = _skip(text, 0) + 1
    places: list[int] = []
    while text[at := _skip(text, at)] != '}':
        key, at = decoder.raw_decode(text, at)
        at = _skip(text, _skip(text, at) + 1)
        if key == 'pieces' and text[at] == '[':
            places, at = _places_in_list(decoder, text, at)
        else:
            _, at = decoder.raw_decode(text, at)
        at = _skip(text, at)
        at += text[at] == ','
    line, before = 1, 0
    for place in places:
        line += text.count('\n', before, place)
        before = place
        yield line


def _places_in_list(decoder: json.JSONDecoder, text: str, at: int) -> tuple[list[int], int]:
    """Where each entry of a list begins, and where the list ends."""
    places: list[int] = []
    at = _skip(text, at + 1)
    while text[at] != ']':
        places.append(at)
        _, at = decoder.raw_decode(text, at)
        at = _skip(text, at)
        at = _skip(text, at + (text[at] == ','))
    return places, at + 1


def _skip(text: str, at: int) -> int:
    found = _SPACE.match(text, at)
    return at if found is None else found.end()
