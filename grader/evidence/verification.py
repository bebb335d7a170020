"""Verification: what the check of one bag or a chain of bags found, for people and as JSON."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from grader.errors import RecordUnreadable
from grader.evidence.bag_check import BagCheck, check_bag, is_bag
from grader.evidence.chain import ChainCheck, check_chain
from grader.evidence.faults import BagFault
from grader.evidence.names import shown
from grader.evidence.time_stamp.trust import Authorities
from grader.record_parts import RecordPart


class FaultFacts(RecordPart):
    """One fault."""

    bag: str
    """Name of the bag's folder."""
    kind: str
    path: str
    """Path in the bag, '' for the bag as a whole."""
    words: str


class StampFacts(RecordPart):
    """The time stamp of a bag."""

    time: str
    authority: str
    """Name in its certificate, which anybody may have made."""
    is_trusted: bool
    """Whether a chain of certificates leads to an authority that was named for the check."""


class BagFacts(RecordPart):
    """One bag."""

    name: str
    is_sealed: bool
    is_valid: bool
    identifier: str
    number: int | None
    manifest_sha256: str
    fingerprint: str
    sealed_at: str
    """As the sealer typed it."""
    n_files: int
    n_bytes: int
    time_stamp: StampFacts | None
    notes: tuple[str, ...]


class Verification(RecordPart):
    """What a check found."""

    verification_version: Literal[1] = 1
    is_valid: bool
    bags: tuple[BagFacts, ...]
    """In the order of their links."""
    faults: tuple[FaultFacts, ...]
    notes: tuple[str, ...]

    def to_json(self) -> str:
        """Text with sorted keys."""
        return json.dumps(self.model_dump(mode='json'), sort_keys=True, indent=1, ensure_ascii=False) + '\n'


def verification_schema_text() -> str:
    """JSON Schema of a verification, as it is shipped."""
    schema = Verification.model_json_schema(mode='serialization')
    schema['$schema'] = 'https://json-schema.org/draft/2020-12/schema'
    return json.dumps(schema, sort_keys=True, indent=1, ensure_ascii=False) + '\n'


def verify(path: Path, previous: Path | None, known_keys: tuple[str, ...], authorities: Authorities) -> Verification:
    """Check one bag, or all bags of a folder as one chain.

    Parameters
    ----------
    path
        A bag, or a folder of bags.
    previous
        The bag before the first of them; None where there is none, or it is not to be checked.
    known_keys
        Fingerprints of the keys that may have signed.
    authorities
        Certificates by which time stamps are judged.

    Raises
    ------
    RecordUnreadable
        If there is no such folder, or no bag in it.
    """
    found = _bags_at(path)
    earlier = () if previous is None else _bags_at(previous).folders
    bags, before = ([check_bag(folder, authorities) for folder in folders] for folders in (found.folders, earlier))
    chain = check_chain(bags, before, known_keys, is_whole=not found.is_single and previous is None)
    return _verification(chain, found.notes)


@dataclass(frozen=True, slots=True)
class _Found:
    """Bags at a path."""

    folders: tuple[Path, ...]
    is_single: bool
    """Whether the path is itself a bag."""
    notes: tuple[str, ...] = ()


def _bags_at(path: Path) -> _Found:
    if not path.is_dir():
        raise RecordUnreadable(f"{path}: there is no such folder.", "Give a sealed bag, or a folder of sealed bags.")
    if is_bag(path):
        return _Found((path,), is_single=True)
    # Names with a dot are what a stopped run left behind; a whole bag never has one.
    inner = [one for one in sorted(path.iterdir()) if one.is_dir() and not one.name.startswith('.')]
    bags = tuple(one for one in inner if is_bag(one))
    if not bags:
        raise RecordUnreadable(
            f"{path}: there is no bag in this folder, nor is it one: a bag holds a file \"bagit.txt\".",
            "Give a folder that \"grader seal\" wrote.",
        )
    others = ", ".join(shown(one.name) for one in inner if one not in bags)
    notes = (f"These folders are no bags, and were not looked at: {others}.",) if others else ()
    return _Found(bags, is_single=False, notes=notes)


def _verification(chain: ChainCheck, notes: tuple[str, ...]) -> Verification:
    faults = [_fault_facts(bag.name, fault) for bag in chain.bags for fault in bag.faults]
    faults += [_fault_facts(fault.path, BagFault(fault.kind, '', fault.words)) for fault in chain.faults]
    bad = {fault.bag for fault in faults}
    return Verification(
        is_valid=not faults,
        bags=tuple(_bag_facts(bag, is_valid=bag.name not in bad) for bag in chain.bags),
        faults=tuple(faults),
        notes=(*chain.notes, *notes),
    )


def _fault_facts(bag: str, fault: BagFault) -> FaultFacts:
    return FaultFacts(bag=bag, kind=fault.kind, path=fault.path, words=fault.words)


def _bag_facts(bag: BagCheck, *, is_valid: bool) -> BagFacts:
    stamp = bag.stamp
    return BagFacts(
        name=bag.name,
        is_sealed=bag.is_sealed,
        is_valid=is_valid,
        identifier=bag.facts.identifier if bag.facts else '',
        number=bag.facts.number if bag.facts else None,
        manifest_sha256=bag.manifest_sha256,
        fingerprint=bag.fingerprint,
        sealed_at=shown(bag.facts.sealed_at) if bag.facts else '',
        n_files=bag.n_files,
        n_bytes=bag.n_bytes,
        time_stamp=StampFacts(time=stamp.time, authority=shown(stamp.authority), is_trusted=stamp.is_trusted)
        if stamp
        else None,
        notes=bag.notes,
    )
