"""File names: portable ones for what is packed, and hostile ones told in what comes from outside."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from pathlib import PurePosixPath

from grader.evidence.constants import DEVICE_NAMES, MAX_NAME_BYTES, UNPORTABLE_CHARACTERS

# Control characters, lone surrogates (bytes that are no UTF-8), line and paragraph separators.
_UNSAFE_CATEGORIES = ('Cc', 'Cs', 'Zl', 'Zp')
# Marks that turn the direction of writing, so that a name reads as another; and the byte order mark.
_DIRECTION_MARKS = frozenset('\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff')


def portable_names(names: Sequence[str]) -> list[str]:
    """Names under which files of one folder can lie on any common disk, each used once whatever the letter case."""
    taken: set[str] = set()
    found = []
    for name in names:
        wanted = portable_name(name)
        number, free = 1, wanted
        while clash_key(free) in taken:
            number += 1
            path = PurePosixPath(wanted)
            free = _cut(path.stem, f'-{number}{path.suffix}')
        taken.add(clash_key(free))
        found.append(free)
    return found


def portable_name(name: str) -> str:
    """The name itself where any disk and any BagIt tool takes it, else the nearest such name."""
    text = ''.join('_' if _is_unportable(sign) else sign for sign in unicodedata.normalize('NFC', name))
    text = _without_edges(text) or '_'
    if text.partition('.')[0].rstrip().casefold() in DEVICE_NAMES:
        text = f'_{text}'
    suffix = PurePosixPath(text).suffix
    if len(text.encode()) > MAX_NAME_BYTES:
        text = _cut(text.removesuffix(suffix), suffix)
    return text


def clash_key(path: str) -> str:
    """What two paths share that are one on some disks: letter case and the spelling of accents aside."""
    return unicodedata.normalize('NFC', unicodedata.normalize('NFC', path).casefold())


def clashing(paths: Iterable[str]) -> list[tuple[str, ...]]:
    """Groups of unlike paths that are one file on some disks, sorted."""
    groups: dict[str, set[str]] = {}
    for path in paths:
        groups.setdefault(clash_key(path), set()).add(path)
    return sorted(tuple(sorted(group)) for group in groups.values() if len(group) > 1)


def path_fault(path: str) -> str:
    """Why a path read from a manifest is hostile, as words behind "the path"; '' where it is not."""
    if any(_is_unsafe(sign) for sign in path):
        return "holds control characters or others that are not seen"
    if path.startswith(('/', '\\', '~')) or re.match(r'[A-Za-z]:', path):
        return "does not start in the bag's own folder"
    if '\\' in path:
        return "holds a backslash, which leads elsewhere on some computers"
    parts = path.split('/')
    if '..' in parts:
        return "leads out of its folder (\"..\")"
    if '' in parts or '.' in parts:
        return "is written in a roundabout way"
    return ''


def shown(path: str) -> str:
    """Path as it can be printed: signs that a terminal would act on, or nobody would see, are written out."""
    return ''.join(f'\\u{ord(sign):04x}' if _is_unsafe(sign) else sign for sign in path)


def _is_unsafe(sign: str) -> bool:
    return unicodedata.category(sign) in _UNSAFE_CATEGORIES or sign in _DIRECTION_MARKS


def _is_unportable(sign: str) -> bool:
    return sign in UNPORTABLE_CHARACTERS or _is_unsafe(sign)


def _without_edges(text: str) -> str:
    """Without blanks at its ends and dots at its end, which Windows drops."""
    while text != (text := text.strip().rstrip('.')):
        pass
    return text


def _cut(stem: str, tail: str) -> str:
    """`stem` and `tail`, with the stem cut so that the name is not too long."""
    room = MAX_NAME_BYTES - len(tail.encode())
    kept = stem.encode()[: max(room, 1)].decode(errors='ignore').rstrip()
    return f'{kept}{tail}'.encode()[:MAX_NAME_BYTES].decode(errors='ignore')
