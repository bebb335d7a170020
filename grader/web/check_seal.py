"""Checking a sealed bag, or bags, that somebody sends as a zip file."""

import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import BinaryIO

from grader.commands.seal_options import fingerprints_from
from grader.errors import OutputNotWritable, RecordUnreadable, SettingsInvalid
from grader.evidence.bag_check import is_bag
from grader.evidence.names import portable_name
from grader.evidence.time_stamp.trust import Authorities
from grader.evidence.verification import Verification, verify
from grader.evidence.wording import ProofPart, bag_lines, fault_words, proof_parts
from grader.web.unpack_zip import ZipLimits, unpack_zip

_USUAL_NAME = 'sealed'
# What macOS puts beside the files when it packs them.
_BESIDE = '__MACOSX'


@dataclass(frozen=True, slots=True)
class SealReport:
    """What a check found, in words."""

    is_valid: bool
    faults: tuple[str, ...]
    """All that is wrong, a line each."""
    bags: tuple[tuple[str, ...], ...]
    """Lines of each bag; the first is what was found, the others are set in."""
    notes: tuple[str, ...]
    proof: tuple[ProofPart, ...]
    """What it shows and what not; empty where there are faults, since then it proves nothing."""


def check_zip(
    source: BinaryIO, name: str, fingerprints: str, own_fingerprint: str, limits: ZipLimits | None = None
) -> SealReport:
    """Unpack a zip file into a folder that is removed afterwards, and check the bags in it.

    Parameters
    ----------
    source
        The file.
    name
        Its name, from outside; only shown.
    fingerprints
        Fingerprints of keys that should have signed, one a line, as typed; '' for any.
    own_fingerprint
        Of the key with which this computer seals; '' where it has none.

    Raises
    ------
    RecordUnreadable
        If it cannot be unpacked, or there is no bag in it.
    SettingsInvalid
        If a fingerprint is none.
    """
    keys = typed_fingerprints(fingerprints)
    with tempfile.TemporaryDirectory(prefix='grader-seal-') as work:
        folder = Path(work) / (portable_name(PurePath(name.replace('\\', '/')).stem).lstrip('.') or _USUAL_NAME)
        folder.mkdir()
        try:
            unpack_zip(source, folder, limits)
        except OSError as err:
            raise OutputNotWritable(
                f"The zip file cannot be unpacked here ({err.strerror or err}).",
                "Make room on the disk, or unpack it yourself and check it with \"grader verify\".",
            ) from err
        return check_bags(_place_in(folder), keys, own_fingerprint)


def check_bags(path: Path, keys: Sequence[str], own_fingerprint: str) -> SealReport:
    """Check a bag or a folder of bags.

    Raises
    ------
    RecordUnreadable
        If there is no bag.
    """
    try:
        return report_of(verify(path, None, tuple(keys), Authorities()), own_fingerprint)
    except RecordUnreadable as err:
        # Names of folders that were made for the check alone would only puzzle.
        raise RecordUnreadable(
            "There is no sealed bag here: a bag holds a file \"bagit.txt\".",
            "Give the zip file that was made when the bag was downloaded, or a zip file of the bag's folder.",
        ) from err


def report_of(found: Verification, own_fingerprint: str) -> SealReport:
    """The words of ``grader verify`` for what a check found."""
    return SealReport(
        is_valid=found.is_valid,
        faults=tuple(fault_words(fault) for fault in found.faults),
        bags=tuple(_lines(bag_lines(bag, own_fingerprint)) for bag in found.bags if bag.is_valid),
        notes=found.notes,
        proof=proof_parts(found) if found.is_valid else (),
    )


def typed_fingerprints(text: str) -> tuple[str, ...]:
    """Fingerprints as typed, one a line.

    Raises
    ------
    SettingsInvalid
        If one is none.
    """
    lines = [line for line in text.splitlines() if line.strip()]
    try:
        return fingerprints_from(lines)
    except SettingsInvalid as err:
        raise SettingsInvalid(err.problem.removeprefix("--fingerprint: "), err.remedy) from err


def _place_in(folder: Path) -> Path:
    """What is to be checked: the folder itself, the one bag in it, or all bags in it as a chain."""
    place = folder
    while not is_bag(place):
        inner = [
            one for one in place.iterdir() if one.is_dir() and not one.name.startswith('.') and one.name != _BESIDE
        ]
        if len(inner) != 1:
            return place
        place = inner[0]
    return place


def _lines(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(line.strip() for line in lines)
