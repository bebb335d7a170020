"""The check of one bag: everything that is wrong with it, in one go."""

from dataclasses import dataclass
from pathlib import Path

from grader.evidence.bag_files import BagFiles, files_of_bag
from grader.evidence.check_files import check_files, file_notes
from grader.evidence.check_record import check_record
from grader.evidence.check_seal import check_seal, claims_a_seal
from grader.evidence.check_stamp import StampCheck, check_stamp
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.layout import BAGIT, FETCH, MANIFEST, PAYLOAD, SEAL, TAG_MANIFEST
from grader.evidence.manifests import ManifestsOfBag, manifests_of_bag
from grader.evidence.names import shown
from grader.evidence.seal_text import BagLink, SealFacts
from grader.evidence.time_stamp.trust import Authorities


@dataclass(frozen=True, slots=True)
class BagCheck:
    """What a check found."""

    name: str
    """Of the bag's folder, fit to be printed."""
    is_sealed: bool
    """Whether the bag says that it is sealed, rightly or not; otherwise it is a plain bag."""
    facts: SealFacts | None
    """What the seal says; None for a plain bag, or where the seal cannot be read."""
    manifest_sha256: str
    """Of the signed manifest; '' for a plain bag."""
    fingerprint: str
    """Of the key in the bag; '' where there is none."""
    stamp: StampCheck | None
    """The time stamp; None where there is none."""
    n_files: int
    """Files of the payload."""
    n_bytes: int
    faults: tuple[BagFault, ...]
    notes: tuple[str, ...]

    @property
    def link(self) -> BagLink | None:
        """The bag as the next one is to name it; None where it is not sealed or its seal cannot be read."""
        if self.facts is None:
            return None
        return BagLink(self.facts.identifier, self.manifest_sha256, self.facts.number)


def is_bag(folder: Path) -> bool:
    """Whether a folder looks like a bag, if only like what is left of one."""
    return any((folder / name).is_file() for name in (BAGIT, MANIFEST, TAG_MANIFEST, SEAL))


def check_bag(root: Path, authorities: Authorities) -> BagCheck:
    """Check one bag, sealed or plain. Nothing that is read is believed before it is checked; nothing is written.

    Parameters
    ----------
    root
        The bag's folder.
    authorities
        Certificates by which time stamps are judged.
    """
    files = files_of_bag(root)
    manifests = manifests_of_bag(files)
    checked = check_files(files, manifests)
    faults = [*files.faults, *manifests.faults, *_structure(files), *checked.faults]
    notes = file_notes(files, manifests)
    sizes = [files.sizes[path] for path in files.payload]
    name = shown(root.resolve().name)
    if not claims_a_seal(files, manifests):
        notes += _plain_notes(files, manifests)
        return BagCheck(name, False, None, '', '', None, len(sizes), sum(sizes), tuple(faults), tuple(notes))
    seal = check_seal(files, manifests)
    stamp = check_stamp(files, seal.manifest_sha256, authorities)
    faults += [*seal.faults, *check_record(files, checked.digests), *(stamp.faults if stamp else ())]
    return BagCheck(
        name=name,
        is_sealed=True,
        facts=seal.facts,
        manifest_sha256=seal.manifest_sha256,
        fingerprint=seal.fingerprint,
        stamp=stamp,
        n_files=len(sizes),
        n_bytes=sum(sizes),
        faults=tuple(faults),
        notes=tuple(notes),
    )


def _structure(files: BagFiles) -> list[BagFault]:
    if PAYLOAD.rstrip('/') in files.folders:
        return []
    return [BagFault(FaultKind.STRUCTURE, PAYLOAD.rstrip('/'), "this folder is missing.")]


def _plain_notes(files: BagFiles, manifests: ManifestsOfBag) -> list[str]:
    notes = ["This is a plain bag: nobody signed it, so whoever changed a file could have changed its checksum too."]
    covered = {path for one in manifests.of_tags for path in one.digests} | {one.name for one in manifests.of_tags}
    loose = [path for path in files.tag_files if path not in covered]
    if loose:
        notes.append(f"{len(loose)} file(s) outside the folder data have no checksum, and were not checked.")
    if FETCH in files.contents:
        notes.append("It names files to be fetched from a network (fetch.txt). Nothing was fetched.")
    return notes
