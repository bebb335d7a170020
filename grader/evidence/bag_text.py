"""Text of manifests and tag files (RFC 8493), written and read. Pure functions of text."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from grader.evidence.constants import BAGIT_VERSION, FIRST_STRICT_BAGIT

BAGIT_TEXT = f'BagIt-Version: {BAGIT_VERSION}\nTag-File-Character-Encoding: UTF-8\n'

_LINE_ENDS = re.compile(r'\r\n|\n|\r')
_MANIFEST_LINE = re.compile(r'([0-9A-Fa-f]+)[ \t]+(.+)', re.DOTALL)
_DECLARATION = re.compile(r'BagIt-Version: ([0-9]+)\.([0-9]+)(?:\r\n|\n|\r)Tag-File-Character-Encoding: (\S+)\s*')


@dataclass(frozen=True, slots=True)
class ManifestLine:
    """One file that a manifest lists."""

    path: str
    """As the file is named, without the manifest's own spelling of line ends and "%"."""
    digest: str
    """In hexadecimal, lower case."""


@dataclass(frozen=True, slots=True)
class ManifestText:
    """What a manifest says, line by line."""

    lines: tuple[ManifestLine, ...]
    bad_lines: tuple[int, ...]
    """Numbers, from 1, of lines that are neither blank nor digest and path."""


@dataclass(frozen=True, slots=True)
class Declaration:
    """What bagit.txt says."""

    version: tuple[int, int]
    encoding: str


def manifest_text(digests: Mapping[str, str]) -> str:
    """Manifest of files by path, sorted by path: two blanks between digest and path, as most tools write."""
    return ''.join(f'{digests[path]}  {_encoded(path)}\n' for path in sorted(digests))


def in_order(text: str) -> str:
    """The same manifest with its lines sorted as :func:`manifest_text` sorts them."""
    lines = [line for line in text.split('\n') if line]
    return ''.join(f'{line}\n' for line in sorted(lines, key=lambda line: _decoded(line.partition('  ')[2], (1, 0))))


def parse_manifest(text: str, version: tuple[int, int]) -> ManifestText:
    """Lines of a manifest of a bag of this version; blank ones are left out."""
    lines, bad = [], []
    for number, line in enumerate(_LINE_ENDS.split(text), start=1):
        if not line.strip():
            continue
        match = _MANIFEST_LINE.fullmatch(line)
        if match is None:
            bad.append(number)
            continue
        # md5sum and its kin mark binary files with an asterisk.
        path = _decoded(match[2].removeprefix('*').removeprefix('./'), version)
        lines.append(ManifestLine(path, match[1].lower()))
    return ManifestText(tuple(lines), tuple(bad))


def tag_text(fields: Iterable[tuple[str, str]]) -> str:
    """Tag file of "Label: value" lines, in the order given."""
    return ''.join(f'{label}: {value}\n' for label, value in fields)


def parse_tags(text: str) -> tuple[tuple[str, str], ...]:
    """Labels and values in their order; lines that go on below a label are joined with a blank.

    Raises
    ------
    ValueError
        If a line has no label.
    """
    fields: list[tuple[str, str]] = []
    for line in _LINE_ENDS.split(text):
        if not line.strip():
            continue
        if line[0] in ' \t' and fields:
            label, value = fields.pop()
            fields.append((label, f'{value} {line.strip()}'))
            continue
        label, colon, value = line.partition(':')
        if not colon or not label.strip():
            raise ValueError(f'no label in {line[:40]!r}')
        fields.append((label.strip(), value.strip()))
    return tuple(fields)


def parse_declaration(text: str) -> Declaration:
    """Version and encoding of the bag.

    Raises
    ------
    ValueError
        If the text is not exactly as the RFC wants it.
    """
    match = _DECLARATION.fullmatch(text)
    if match is None:
        raise ValueError('not a BagIt declaration')
    return Declaration((int(match[1]), int(match[2])), match[3].lower())


def _encoded(path: str) -> str:
    return path.replace('%', '%25').replace('\r', '%0D').replace('\n', '%0A')


def _decoded(path: str, version: tuple[int, int]) -> str:
    codes = {'%0a': '\n', '%0d': '\r'} | ({'%25': '%'} if version >= FIRST_STRICT_BAGIT else {})
    return re.sub('|'.join(codes), lambda match: codes[match[0].lower()], path, flags=re.IGNORECASE)
