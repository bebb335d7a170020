"""The seal of a bag: its signature, whose key it is, and that it covers all."""

from collections.abc import Callable
from dataclasses import dataclass

from grader.evidence.bag_files import BagFiles
from grader.evidence.bag_text import in_order, parse_tags
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.hashing import sha256_of
from grader.evidence.layout import (
    BAG_DESCRIPTION,
    BAG_INFO,
    MANIFEST,
    PUBLIC_KEY,
    SEAL,
    SEAL_FOLDER,
    SEALED_TAG_FILES,
    SIGNATURE,
    STAMP_FILES,
    TAG_MANIFEST,
)
from grader.evidence.manifests import ManifestsOfBag
from grader.evidence.seal_key import fingerprint_of, is_signed_by, public_key_from
from grader.evidence.seal_text import SealFacts, SealUnreadable, parse_seal


@dataclass(frozen=True, slots=True)
class SealCheck:
    """What the seal says, as far as it could be read, and what is wrong with it."""

    facts: SealFacts | None
    """None where seal.txt cannot be read."""
    manifest_sha256: str
    """Of the signed tag manifest; '' where there is none."""
    fingerprint: str
    """Of the key in the bag; '' where there is none."""
    faults: tuple[BagFault, ...]


def claims_a_seal(files: BagFiles, manifests: ManifestsOfBag) -> bool:
    """Whether the bag, or what is left of it, says that it is sealed."""
    tag_paths = {path for one in manifests.of_tags for path in one.digests}
    has_part_of_a_seal = any(path.startswith(SEAL_FOLDER) for path in tag_paths | set(files.tag_files))
    return has_part_of_a_seal or _describes_a_seal(files.contents.get(BAG_INFO, b''))


def check_seal(files: BagFiles, manifests: ManifestsOfBag) -> SealCheck:
    """Check signature, key and coverage; all faults at once."""
    faults: list[BagFault] = []
    facts = _facts(files, faults)
    fingerprint = _check_signature(files, faults)
    if facts is not None and fingerprint and facts.fingerprint != fingerprint:
        faults.append(BagFault(FaultKind.SIGNATURE, PUBLIC_KEY, "is another key than the one that the seal names."))
    if facts is not None and facts.identifier != sha256_of(files.contents.get(MANIFEST, b'')):
        faults.append(BagFault(FaultKind.CHANGED, MANIFEST, "is another one than the seal names."))
    faults += _coverage(files, manifests)
    faults += _order(files, manifests)
    signed = files.contents.get(TAG_MANIFEST)
    return SealCheck(facts, '' if signed is None else sha256_of(signed), fingerprint, tuple(faults))


def _describes_a_seal(info: bytes) -> bool:
    try:
        fields = parse_tags(info.decode('utf-8'))
    except ValueError:
        return False
    return any(label == 'External-Description' and value == BAG_DESCRIPTION for label, value in fields)


def _facts(files: BagFiles, faults: list[BagFault]) -> SealFacts | None:
    if SEAL not in files.contents:
        faults.append(BagFault(FaultKind.SIGNATURE, SEAL, "is missing."))
        return None
    try:
        return parse_seal(files.contents[SEAL].decode('utf-8'))
    except SealUnreadable as err:
        faults.append(BagFault(FaultKind.SIGNATURE, SEAL, f"{err}."))
    except UnicodeDecodeError:
        faults.append(BagFault(FaultKind.SIGNATURE, SEAL, "it is no text."))
    return None


def _check_signature(files: BagFiles, faults: list[BagFault]) -> str:
    """Fingerprint of the key in the bag, '' where there is none."""
    missing = [path for path in (TAG_MANIFEST, PUBLIC_KEY, SIGNATURE) if path not in files.contents]
    faults += [BagFault(FaultKind.SIGNATURE, path, "is missing, so the signature cannot hold.") for path in missing]
    if PUBLIC_KEY in missing:
        return ''
    try:
        key = public_key_from(files.contents[PUBLIC_KEY])
    except ValueError:
        faults.append(BagFault(FaultKind.SIGNATURE, PUBLIC_KEY, "holds no key that could be read."))
        return ''
    if not missing:
        signature, signed = files.contents[SIGNATURE], files.contents[TAG_MANIFEST]
        if not is_signed_by(key, signature, signed):
            faults.append(_signature_fault(signed, lambda data: is_signed_by(key, signature, data)))
    return fingerprint_of(key)


def _signature_fault(signed: bytes, fits: Callable[[bytes], bool]) -> BagFault:
    if fits(in_order(signed.decode('utf-8', errors='replace')).encode()):
        return BagFault(FaultKind.REORDERED, TAG_MANIFEST, "its lines stand in another order than when it was signed.")
    words = "the signature does not fit: this file, the signature or the key in the bag is not the one of the sealing."
    return BagFault(FaultKind.SIGNATURE, TAG_MANIFEST, words)


def _coverage(files: BagFiles, manifests: ManifestsOfBag) -> list[BagFault]:
    """Files that the signature does not cover, and manifests that no sealed bag has."""
    covered = {path for one in manifests.of_tags if one.name == TAG_MANIFEST for path in one.digests}
    faults = [
        BagFault(FaultKind.SIGNATURE, path, "is not listed in the signed manifest, so the signature does not cover it.")
        for path in SEALED_TAG_FILES
        if path not in covered
    ]
    allowed = covered | {TAG_MANIFEST, SIGNATURE, *STAMP_FILES}
    for path in files.tag_files:
        if path not in allowed:
            words = "is no part of the sealed bag: it was added later."
            faults.append(BagFault(FaultKind.EXTRA, path, words))
    needed = {str(parent) for path in files.sizes for parent in _folders_of(path)}
    for path in files.folders:
        if path not in needed:
            faults.append(BagFault(FaultKind.EXTRA, path, "is an empty folder that was added later."))
    return faults


def _folders_of(path: str) -> list[str]:
    parts = path.split('/')[:-1]
    return ['/'.join(parts[: k + 1]) for k in range(len(parts))]


def _order(files: BagFiles, manifests: ManifestsOfBag) -> list[BagFault]:
    """Whether the payload manifest is the sealed one but for the order of its lines."""
    expected = next((one.digests.get(MANIFEST) for one in manifests.of_tags if one.name == TAG_MANIFEST), None)
    data = files.contents.get(MANIFEST)
    if data is None or expected is None or sha256_of(data) == expected:
        return []
    if sha256_of(in_order(data.decode('utf-8', errors='replace')).encode()) != expected:
        return []
    return [BagFault(FaultKind.REORDERED, MANIFEST, "its lines stand in another order than when it was sealed.")]
