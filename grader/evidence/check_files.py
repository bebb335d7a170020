"""Are all listed files there, none besides, and each byte as it was?"""

from collections.abc import Mapping
from dataclasses import dataclass

from grader.evidence.bag_files import BagFiles
from grader.evidence.bag_text import parse_tags
from grader.evidence.constants import FIRST_STRICT_BAGIT, WEAK_CHECKSUMS
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.layout import BAG_INFO, FETCH
from grader.evidence.manifests import ManifestsOfBag
from grader.evidence.names import path_fault


@dataclass(frozen=True, slots=True)
class FileCheck:
    """Faults of completeness and of contents, and the digests that were taken for them."""

    faults: tuple[BagFault, ...]
    digests: Mapping[str, Mapping[str, str]]
    """By algorithm for each file that could be read, by its path on the disk."""


def check_files(files: BagFiles, manifests: ManifestsOfBag) -> FileCheck:
    """Look whether all listed files are there, none besides, and each as it was."""
    listed = manifests.listed
    on_disk = {path: files.spelled_on_disk(path) for path in listed}
    missing = [path for path in sorted(listed) if on_disk[path] not in files.sizes]
    wanted = set(on_disk.values())
    extra = [path for path in files.payload if path not in wanted]
    found, faults = _digests(files, {**on_disk, **{path: path for path in extra}}, listed)
    faults += _completeness(missing, extra, found, listed)
    faults += _contents(found, listed)
    faults += _unlisted_somewhere(manifests)
    faults += _fetch_faults(files, manifests)
    faults += _oxum_faults(files, manifests)
    return FileCheck(tuple(faults), {on_disk.get(path, path): digests for path, digests in found.items()})


def file_notes(files: BagFiles, manifests: ManifestsOfBag) -> list[str]:
    """What is no fault and should be known."""
    notes = []
    if all(one.algorithm in WEAK_CHECKSUMS for one in manifests.of_payload):
        notes.append("Its checksums (MD5 or SHA-1) find accidents, and do not withstand intent.")
    respelled = [path for path in manifests.listed if files.spelled_on_disk(path) != path]
    if respelled:
        notes.append(f"The disk spells the accents of {len(respelled)} file name(s) otherwise than the manifest.")
    return notes


def _digests(
    files: BagFiles, names: Mapping[str, str], listed: Mapping[str, Mapping[str, str]]
) -> tuple[dict[str, dict[str, str]], list[BagFault]]:
    """Digests of the files that are there, by listed path and algorithm."""
    all_algorithms = tuple(sorted({name for digests in listed.values() for name in digests}))
    found: dict[str, dict[str, str]] = {}
    faults = []
    for path, name in sorted(names.items()):
        if name not in files.sizes:
            continue
        try:
            found[path] = files.digests(name, tuple(listed.get(path, ())) or all_algorithms)
        except OSError as err:
            words = f"cannot be read ({err.strerror or err})."
            faults.append(BagFault(FaultKind.CHANGED, path, words))
    return found, faults


def _completeness(
    missing: list[str],
    extra: list[str],
    found: Mapping[str, Mapping[str, str]],
    listed: Mapping[str, Mapping[str, str]],
) -> list[BagFault]:
    faults = []
    holders = _by_digest({path: found.get(path, {}) for path in extra})
    for path in missing:
        twin = _twin(path, listed[path], holders)
        words = f"is missing; {twin} holds what it held." if twin else "is missing."
        faults.append(BagFault(FaultKind.MISSING, path, words))
    for path in extra:
        faults.append(BagFault(FaultKind.EXTRA, path, "is not listed in the manifest: it was added or renamed."))
    return faults


def _contents(found: Mapping[str, Mapping[str, str]], listed: Mapping[str, Mapping[str, str]]) -> list[BagFault]:
    faults = []
    holders = _by_digest(listed)
    for path in sorted(listed):
        if path not in found or found[path] == listed[path]:
            continue
        twin = _twin(path, found[path], holders)
        words = f"has changed; it now holds what {twin} should hold." if twin else "has changed."
        faults.append(BagFault(FaultKind.CHANGED, path, words))
    return faults


def _by_digest(files: Mapping[str, Mapping[str, str]]) -> dict[tuple[str, str], list[str]]:
    """Paths, sorted, by algorithm and digest."""
    holders: dict[tuple[str, str], list[str]] = {}
    for path in sorted(files):
        for pair in files[path].items():
            holders.setdefault(pair, []).append(path)
    return holders


def _twin(path: str, digests: Mapping[str, str], holders: Mapping[tuple[str, str], list[str]]) -> str:
    """First other file with the same digests, or ''."""
    common = [{one for one in holders.get(pair, ()) if one != path} for pair in digests.items()]
    return min(set.intersection(*common), default='') if common else ''


def _unlisted_somewhere(manifests: ManifestsOfBag) -> list[BagFault]:
    if manifests.declaration.version < FIRST_STRICT_BAGIT:
        return []
    all_paths = {path for one in manifests.of_payload for path in one.digests}
    return [
        BagFault(FaultKind.STRUCTURE, one.name, f"does not list {path}, which another manifest lists.")
        for one in manifests.of_payload
        for path in sorted(all_paths - set(one.digests))
    ]


def _fetch_faults(files: BagFiles, manifests: ManifestsOfBag) -> list[BagFault]:
    if FETCH not in files.contents:
        return []
    faults = []
    text = files.contents[FETCH].decode(manifests.declaration.encoding, errors='replace')
    for number, line in enumerate(text.splitlines(), start=1):
        parts = line.split(None, 2)
        if line.strip() and (len(parts) < 3 or path_fault(parts[2].strip())):
            words = f"line {number} names a path that leads elsewhere, or none; nothing was fetched."
            faults.append(BagFault(FaultKind.PATH, FETCH, words))
    return faults


def _oxum_faults(files: BagFiles, manifests: ManifestsOfBag) -> list[BagFault]:
    """Whether bag-info.txt can be read and counts files and bytes rightly."""
    if BAG_INFO not in files.contents:
        return []
    try:
        fields = parse_tags(files.contents[BAG_INFO].decode(manifests.declaration.encoding))
    except ValueError:
        return [BagFault(FaultKind.STRUCTURE, BAG_INFO, "is not made of lines with a label.")]
    counted = f'{sum(files.sizes[path] for path in files.payload)}.{len(files.payload)}'
    return [
        BagFault(FaultKind.CHANGED, BAG_INFO, f"says {value[:40]} (bytes.files) of the payload; there are {counted}.")
        for label, value in fields
        if label.lower() == 'payload-oxum' and value != counted
    ]
