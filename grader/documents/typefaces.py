"""The shipped typefaces, which signs they hold, and texts cut into runs of one face."""

import functools
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources import files
from io import BytesIO
from typing import Literal

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

TEXT_FACE, BOLD_FACE, TITLE_FACE, EAST_FACE = 'ReportText', 'ReportBold', 'ReportTitle', 'ReportEast'
BOX = '▯'
"""Stands for a sign that no face holds."""

_FILES = {
    TEXT_FACE: 'DejaVuSansCondensed.ttf',
    BOLD_FACE: 'DejaVuSansCondensed-Bold.ttf',
    TITLE_FACE: 'DejaVuSerifCondensed.ttf',
    EAST_FACE: 'DroidSansFallback.ttf',
}
# Signs without a shape of their own: joiners, soft hyphen, byte order mark, and those that choose between shapes.
_SHAPELESS = frozenset('\u00ad\u200b\u200c\u200d\u2060\ufe0e\ufe0f\ufeff')
_BLANKS = frozenset(' \n\t\u00a0\u202f')


@dataclass(frozen=True, slots=True)
class Run:
    """Signs next to each other that the same face holds."""

    text: str
    face: Literal['own', 'east', 'none']
    """The face that the text is set in, the one for East Asia, or none at all."""


def runs_of(text: str, face: str = TEXT_FACE) -> tuple[Run, ...]:
    """Return a text, with its accents composed, in runs of one face."""
    runs: list[Run] = []
    for sign in _plain(text):
        kind = _face_of(sign, face)
        if runs and runs[-1].face == kind:
            runs[-1] = Run(runs[-1].text + sign, kind)
        else:
            runs.append(Run(sign, kind))
    return tuple(runs)


def not_drawn(texts: Iterable[str]) -> tuple[str, ...]:
    """Return all runs of signs that no face holds, each once, in order."""
    found: dict[str, None] = {}
    for text in texts:
        for run in runs_of(text):
            if run.face == 'none':
                found[run.text] = None
    return tuple(found)


def codes_of(text: str) -> str:
    """Return the signs of a text by code and name, such as "U+05D0 HEBREW LETTER ALEF"."""
    return ', '.join(f"U+{ord(sign):04X} {unicodedata.name(sign, '')}".rstrip() for sign in text)


def use_face(face: str) -> str:
    """Make a face known to the writer of PDF, once; return its name."""
    _loaded(face)
    return face


@functools.cache
def _loaded(face: str) -> frozenset[int]:
    """Codes of a face's signs; registers the face."""
    data = files('grader.documents').joinpath('fonts', _FILES[face]).read_bytes()
    font = TTFont(face, BytesIO(data))
    pdfmetrics.registerFont(font)
    return frozenset(font.face.charToGlyph)


def _face_of(sign: str, face: str) -> Literal['own', 'east', 'none']:
    if sign in _BLANKS or ord(sign) in _loaded(face):
        return 'own'
    # Most texts need no second face, and it is large.
    return 'east' if ord(sign) in _loaded(EAST_FACE) else 'none'


def _plain(text: str) -> str:
    return ''.join(sign for sign in unicodedata.normalize('NFC', text) if sign not in _SHAPELESS)
