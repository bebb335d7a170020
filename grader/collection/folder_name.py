"""Ids and folder names of pieces: readable, and safe on every disk."""

import re
import unicodedata
from collections.abc import Callable, Container

from grader.collection.constants import ID_ALPHABET, ID_LENGTH, MAX_FOLDER_NAME_BYTES
from grader.collection.piece import Piece

_NOT_IN_NAMES = re.compile(r'[^\w.\'()+-]+')
_WITHOUT_WORDS = 'piece'
_LETTERS = ''.join(sign for sign in ID_ALPHABET if sign.isalpha())


def new_id(taken: Container[str], choose: Callable[[str], str]) -> str:
    """Id that is not taken.

    Parameters
    ----------
    taken
        Ids in use.
    choose
        Draws one sign of a text, such as ``secrets.choice``.
    """
    while True:
        # A letter first: spreadsheets would take "23456789" or "2345e678" for numbers and write them anew.
        drawn = choose(_LETTERS) + ''.join(choose(ID_ALPHABET) for _ in range(ID_LENGTH - 1))
        if drawn not in taken:
            return drawn


def folder_name(piece: Piece) -> str:
    """Name such as ``Amber swirl-k7m2x4q9``: letters of any script, no sign that a disk forbids, the id at its end.

    The id tells names apart even where letter case or accents do not. The name is chosen once; a new title leaves it.
    """
    words = unicodedata.normalize('NFC', piece.title or piece.type_of_object)
    words = _NOT_IN_NAMES.sub(' ', words).strip(' .-')
    room = MAX_FOLDER_NAME_BYTES - ID_LENGTH - 1
    words = words.encode()[:room].decode(errors='ignore').strip(' .-')
    return f'{words or _WITHOUT_WORDS}-{piece.id}'
