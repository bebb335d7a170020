"""The time stamp of a bag: is it over this bag's signed manifest, and is it signed?"""

from dataclasses import dataclass

from grader.evidence.bag_files import BagFiles
from grader.evidence.bag_text import manifest_text
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.hashing import sha256_of
from grader.evidence.layout import STAMP_FILES, STAMP_FOLDER, STAMP_MANIFEST, STAMP_REPLY, STAMP_REQUEST
from grader.evidence.time_stamp.reply import StampToken, parse_reply
from grader.evidence.time_stamp.request import StampUnreadable, parse_request
from grader.evidence.time_stamp.trust import Authorities, is_trusted, signature_faults, subject_of


@dataclass(frozen=True, slots=True)
class StampCheck:
    """What a time stamp says, and what is wrong with it."""

    time: str
    """ISO 8601, UTC; '' where it cannot be read."""
    authority: str
    """Name in the certificate that signed it, which anybody may have made; '' where it cannot be read."""
    is_trusted: bool
    """Whether a chain of certificates leads to an authority that the user named."""
    faults: tuple[BagFault, ...]


def check_stamp(files: BagFiles, manifest_sha256: str, authorities: Authorities) -> StampCheck | None:
    """Check the time stamp in a bag; None where there is none."""
    if not any(path.startswith(STAMP_FOLDER) for path in files.sizes):
        return None
    missing = [path for path in STAMP_FILES if path not in files.contents]
    if missing:
        faults = [BagFault(FaultKind.TIME_STAMP, path, "is missing.") for path in missing]
        return StampCheck('', '', False, tuple(faults))
    request, reply, listed = (files.contents[path] for path in STAMP_FILES)
    check = judge_stamp(request, reply, manifest_sha256, authorities)
    if listed == stamp_manifest(request, reply).encode():
        return check
    words = "its checksums are not those of the request and the reply: one of these files has changed."
    fault = BagFault(FaultKind.TIME_STAMP, STAMP_MANIFEST, words)
    return StampCheck(check.time, check.authority, check.is_trusted, (*check.faults, fault))


def stamp_manifest(request: bytes, reply: bytes) -> str:
    """Checksums of both, since not every byte of a reply is signed."""
    return manifest_text({STAMP_REQUEST: sha256_of(request), STAMP_REPLY: sha256_of(reply)})


def judge_stamp(request: bytes, reply: bytes, manifest_sha256: str, authorities: Authorities) -> StampCheck:
    """Check a reply against request and bag: digest, number, signature, and the authority where one is given."""
    try:
        asked, token = parse_request(request), parse_reply(reply)
    except StampUnreadable as err:
        return StampCheck('', '', False, (BagFault(FaultKind.TIME_STAMP, STAMP_FOLDER.rstrip('/'), f"{err}."),))
    sentences = []
    if (asked.algorithm, asked.digest) != ('sha256', manifest_sha256):
        sentences.append("The request is for another bag, or for this one before it was changed.")
    if (token.algorithm, token.digest) != ('sha256', manifest_sha256):
        sentences.append("The time stamp is for another bag, or for this one before it was changed.")
    if token.nonce != asked.nonce:
        sentences.append("The reply does not repeat the request's number, so it answers another request.")
    sentences += signature_faults(token)
    trusted = not sentences and is_trusted(token, authorities)
    if authorities.certificates and not sentences and not trusted:
        sentences.append("No chain of certificates leads from the time stamp to an authority of the file given.")
    faults = [BagFault(FaultKind.TIME_STAMP, '', words) for words in sentences]
    return StampCheck(_time_text(token), subject_of(token), trusted, tuple(faults))


def _time_text(token: StampToken) -> str:
    return token.time.isoformat()
