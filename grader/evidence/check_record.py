"""The record in a bag and the photos that it names: do they belong together?"""

from collections.abc import Mapping

from grader.errors import RecordUnreadable
from grader.evidence.bag_files import BagFiles
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.layout import PHOTOS, RECORD
from grader.record import record_from_bytes


def check_record(files: BagFiles, digests: Mapping[str, Mapping[str, str]]) -> list[BagFault]:
    """Faults of the record, and photos that it names and are not there, or are there and it does not name.

    Parameters
    ----------
    files
        Files of the bag.
    digests
        Digests of its files by path on the disk and algorithm.
    """
    if RECORD not in files.contents:
        return [BagFault(FaultKind.RECORD, RECORD, "there is no record in the bag.")]
    try:
        record = record_from_bytes(files.contents[RECORD], RECORD)
    except RecordUnreadable as err:
        words = err.problem.removeprefix(f"{RECORD}: ")
        return [BagFault(FaultKind.RECORD, RECORD, f"{words} Its photos could not be checked.")]
    there = {path: digests.get(path, {}).get('sha256', '') for path in files.payload if path.startswith(PHOTOS)}
    named = {photo.sha256: photo.name for photo in record.photos}
    faults = [
        BagFault(FaultKind.PHOTO, '', f"The photo {name}, which the record names, is not in the bag as it was.")
        for digest, name in named.items()
        if digest not in there.values()
    ]
    faults += [
        BagFault(FaultKind.PHOTO, path, "is not one of the photos that the record names.")
        for path, digest in there.items()
        if digest not in named
    ]
    return faults
