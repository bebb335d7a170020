"""The record in a bag and the photos that it names: do they belong together?"""

from collections.abc import Mapping

from grader.errors import RecordUnreadable
from grader.evidence.bag_files import BagFiles
from grader.evidence.faults import BagFault, FaultKind
from grader.evidence.layout import PHOTOS, RECORD, RECORDS
from grader.evidence.named_photos import photos_named_in


def check_record(files: BagFiles, digests: Mapping[str, Mapping[str, str]]) -> list[BagFault]:
    """Faults of the record, and photos that it names and are not there, or are there and it does not name.

    Parameters
    ----------
    files
        Files of the bag.
    digests
        Digests of its files by path on the disk and algorithm.
    """
    faults: list[BagFault] = []
    records = [path for path in RECORDS if path in files.contents]
    if not records:
        faults.append(BagFault(FaultKind.RECORD, RECORD, "there is no record in the bag."))
    named: dict[str, str] = {}
    for path in records:
        try:
            named |= {photo.sha256: photo.name for photo in photos_named_in(files.contents[path], path)}
        except RecordUnreadable as err:
            words = err.problem.removeprefix(f"{path}: ")
            faults.append(BagFault(FaultKind.RECORD, path, f"{words} Its photos could not be checked."))
    return faults or _photo_faults(files, digests, named)


def _photo_faults(
    files: BagFiles, digests: Mapping[str, Mapping[str, str]], named: Mapping[str, str]
) -> list[BagFault]:
    there = {path: digests.get(path, {}).get('sha256', '') for path in files.payload if path.startswith(PHOTOS)}
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
