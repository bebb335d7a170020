"""The manifests of a bag: which there are, what they list, and what is wrong with them as texts."""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from grader.evidence.bag_files import BagFiles
from grader.evidence.bag_text import Declaration, parse_declaration, parse_manifest
from grader.evidence.constants import NEWEST_BAGIT, OLDEST_BAGIT, TAG_FILE_ENCODINGS
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.layout import BAGIT, PAYLOAD
from grader.evidence.names import clashing, path_fault

_MANIFEST_NAME = re.compile(r'(tag)?manifest-(.+)\.txt', re.IGNORECASE)
_KNOWN = {re.sub('[^a-z0-9]', '', name): name for name in hashlib.algorithms_guaranteed if 'shake' not in name}


@dataclass(frozen=True, slots=True)
class Manifest:
    """One manifest."""

    name: str
    algorithm: str
    """As ``hashlib`` names it."""
    is_of_tags: bool
    digests: Mapping[str, str] = field(default_factory=dict)
    """Digest of each file by its path; files whose paths are hostile are left out."""


@dataclass(frozen=True, slots=True)
class ManifestsOfBag:
    """All manifests of a bag."""

    declaration: Declaration
    manifests: tuple[Manifest, ...]
    faults: tuple[BagFault, ...]

    @property
    def of_payload(self) -> tuple[Manifest, ...]:
        """Those that list the payload."""
        return tuple(one for one in self.manifests if not one.is_of_tags)

    @property
    def of_tags(self) -> tuple[Manifest, ...]:
        """Those that list tag files."""
        return tuple(one for one in self.manifests if one.is_of_tags)

    @property
    def listed(self) -> dict[str, dict[str, str]]:
        """Digests by algorithm for each listed file, by path."""
        found: dict[str, dict[str, str]] = {}
        for one in self.manifests:
            for path, digest in one.digests.items():
                found.setdefault(path, {})[one.algorithm] = digest
        return found


def manifests_of_bag(files: BagFiles) -> ManifestsOfBag:
    """Read bagit.txt and all manifests."""
    faults: list[BagFault] = []
    declaration = _declaration(files, faults)
    manifests = _all_manifests(files, declaration, faults)
    found = ManifestsOfBag(declaration, manifests, ())
    if not found.of_payload:
        faults.append(BagFault(FaultKind.STRUCTURE, '', "There is no manifest, so nothing can be checked."))
    for group in clashing({*found.listed, *files.sizes} - _other_spellings(files, found)):
        names = ", ".join(f"\"{path}\"" for path in group)
        faults.append(BagFault(FaultKind.PATH, '', f"These paths are one file on some disks: {names}."))
    return ManifestsOfBag(declaration, manifests, tuple(faults))


def _all_manifests(files: BagFiles, declaration: Declaration, faults: list[BagFault]) -> tuple[Manifest, ...]:
    found: list[Manifest] = []
    for name in files.tag_files:
        match = _MANIFEST_NAME.fullmatch(name)
        if match is None:
            continue
        algorithm = _KNOWN.get(re.sub('[^a-z0-9]', '', match[2].lower()))
        if algorithm is None:
            faults.append(BagFault(FaultKind.STRUCTURE, name, "its kind of checksum is not known here."))
            continue
        manifest = _manifest(files, name, algorithm, declaration, faults)
        if any((one.algorithm, one.is_of_tags) == (algorithm, manifest.is_of_tags) for one in found):
            faults.append(BagFault(FaultKind.STRUCTURE, name, "is a second manifest of the same checksums."))
        found.append(manifest)
    return tuple(found)


def _declaration(files: BagFiles, faults: list[BagFault]) -> Declaration:
    """What bagit.txt says, or what it usually says where it cannot be read."""
    usual = Declaration(NEWEST_BAGIT, 'utf-8')
    if BAGIT not in files.contents:
        faults.append(BagFault(FaultKind.MISSING, BAGIT, "is missing, so this is not a bag."))
        return usual
    try:
        declaration = parse_declaration(files.contents[BAGIT].decode('utf-8'))
    except ValueError:
        words = "is not the two lines that a bag starts with (\"BagIt-Version: 1.0\" and the character encoding)."
        faults.append(BagFault(FaultKind.STRUCTURE, BAGIT, words))
        return usual
    if not OLDEST_BAGIT <= declaration.version <= NEWEST_BAGIT:
        number = '.'.join(str(part) for part in declaration.version)
        faults.append(BagFault(FaultKind.STRUCTURE, BAGIT, f"BagIt version {number} is not known here."))
    if declaration.encoding not in TAG_FILE_ENCODINGS:
        words = f"the character encoding \"{declaration.encoding[:40]}\" is not known here."
        faults.append(BagFault(FaultKind.STRUCTURE, BAGIT, words))
        return Declaration(declaration.version, 'utf-8')
    return declaration


def _manifest(files: BagFiles, name: str, algorithm: str, declaration: Declaration, faults: list[BagFault]) -> Manifest:
    is_of_tags = name.lower().startswith('tag')
    try:
        text = files.contents[name].decode(declaration.encoding)
    except (KeyError, ValueError):
        faults.append(BagFault(FaultKind.STRUCTURE, name, "cannot be read as text."))
        return Manifest(name, algorithm, is_of_tags)
    parsed = parse_manifest(text, declaration.version)
    for number in parsed.bad_lines:
        faults.append(BagFault(FaultKind.STRUCTURE, name, f"line {number} is not a checksum and a path."))
    digests: dict[str, str] = {}
    for line in parsed.lines:
        words = path_fault(line.path) or _place_fault(line.path, is_of_tags)
        if words:
            faults.append(BagFault(FaultKind.PATH, name, f"the path \"{line.path}\" {words}; not followed."))
        elif line.path in digests:
            faults.append(BagFault(FaultKind.STRUCTURE, name, f"lists {line.path} more than once."))
        elif len(line.digest) != 2 * hashlib.new(algorithm, usedforsecurity=False).digest_size:
            faults.append(BagFault(FaultKind.STRUCTURE, name, f"the checksum of {line.path} is cut or too long."))
        else:
            digests[line.path] = line.digest
    return Manifest(name, algorithm, is_of_tags, digests)


def _place_fault(path: str, is_of_tags: bool) -> str:
    if not is_of_tags:
        return "" if path.startswith(PAYLOAD) else "is not in the folder data"
    if path.startswith(PAYLOAD):
        return "is in the folder data, where a manifest of tag files has no say"
    return "is itself a manifest of tag files" if path.lower().startswith('tagmanifest-') else ""


def _other_spellings(files: BagFiles, found: ManifestsOfBag) -> set[str]:
    """Names on the disk that are a listed file with its accents spelled otherwise, as some disks do by themselves."""
    return {spelled for path in found.listed if (spelled := files.spelled_on_disk(path)) != path}
