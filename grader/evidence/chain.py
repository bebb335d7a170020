"""Bags one after another: does each name the one before it?"""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.evidence.bag_check import BagCheck
from grader.evidence.faults import BagFault, FaultKind


@dataclass(frozen=True, slots=True)
class ChainCheck:
    """Several bags in the order of their links, and what is wrong with the links."""

    bags: tuple[BagCheck, ...]
    faults: tuple[BagFault, ...]
    notes: tuple[str, ...]


def check_chain(
    bags: Sequence[BagCheck], before: Sequence[BagCheck], known_keys: Sequence[str], *, is_whole: bool
) -> ChainCheck:
    """Check links and keys of bags that belong together.

    Parameters
    ----------
    bags
        In any order.
    before
        Those that came before them, where they are looked at too.
    known_keys
        Fingerprints of the keys that may have signed; with none, one key must have signed all.
    is_whole
        Whether these are all bags of the chain, so that the first has none before it.
    """
    ordered = sorted([*before, *bags], key=lambda bag: (bag.facts is None, _number(bag), bag.name))
    faults = _plain_faults(ordered, known_keys) + _key_faults(ordered, known_keys)
    notes: list[str] = []
    by_manifest: dict[str, BagCheck] = {}
    for bag in ordered:
        if bag.facts is not None:
            faults += _twin_faults(bag, by_manifest)
            # What the first bag follows may lie elsewhere.
            may_follow_unseen = not by_manifest and not is_whole and bag in (before or bags)
            faults += _link_faults(bag, by_manifest, notes, may_follow_unseen=may_follow_unseen)
            by_manifest[bag.manifest_sha256] = bag
    return ChainCheck(tuple(ordered), tuple(faults), tuple(notes))


def _plain_faults(bags: Sequence[BagCheck], known_keys: Sequence[str]) -> list[BagFault]:
    """A bag without any seal among sealed ones, or where a key is named, was stripped or put in."""
    if not known_keys and not any(bag.is_sealed for bag in bags):
        return []
    return [_fault(bag, "is not sealed, and a seal is needed here.") for bag in bags if not bag.is_sealed]


def _key_faults(bags: Sequence[BagCheck], known_keys: Sequence[str]) -> list[BagFault]:
    signed = [bag for bag in bags if bag.fingerprint]
    if known_keys:
        words = "is signed with another key than those you named."
        return [BagFault(FaultKind.SIGNATURE, bag.name, words) for bag in signed if bag.fingerprint not in known_keys]
    words = "is signed with another key than the first bag. If you changed keys, name both with --fingerprint."
    return [
        BagFault(FaultKind.SIGNATURE, bag.name, words) for bag in signed if bag.fingerprint != signed[0].fingerprint
    ]


def _twin_faults(bag: BagCheck, before: dict[str, BagCheck]) -> list[BagFault]:
    """Two bags that claim the same place in the chain."""
    faults = []
    twins = [one for one in before.values() if _number(one) == _number(bag)]
    if bag.manifest_sha256 in before:
        twins = []
        faults.append(_fault(bag, f"is the same bag as {before[bag.manifest_sha256].name}."))
    if twins:
        words = f"has the same number ({_number(bag)}) as {twins[0].name}: the chain splits here."
        faults.append(_fault(bag, words))
    return faults


def _link_faults(
    bag: BagCheck, before: dict[str, BagCheck], notes: list[str], *, may_follow_unseen: bool
) -> list[BagFault]:
    facts = bag.facts
    if facts is None or not facts.previous_manifest_sha256:
        return []
    previous = before.get(facts.previous_manifest_sha256)
    if previous is None and may_follow_unseen:
        notes.append(
            f"{bag.name} follows another bag (identifier {facts.previous_identifier}) that was not looked at. "
            "Check both together, or name it with --previous, to check that link too."
        )
        return []
    if previous is None:
        return [_fault(bag, "does not follow any bag here: the one before it is missing or was changed.")]
    if previous.facts is None or previous.facts.identifier != facts.previous_identifier:
        return [_fault(bag, f"names {previous.name} as the one before it by a wrong identifier.")]
    if previous.facts.number != facts.number - 1:
        return [_fault(bag, f"has the number {facts.number}, and follows number {previous.facts.number}.")]
    return []


def _number(bag: BagCheck) -> int:
    return bag.facts.number if bag.facts else 0


def _fault(bag: BagCheck, words: str) -> BagFault:
    return BagFault(FaultKind.LINK, bag.name, words)
