"""What a check of bags found, and what it does and does not prove, in words for people."""

from dataclasses import dataclass
from pathlib import Path

from grader.evidence.seal_key import grouped
from grader.evidence.verification import BagFacts, FaultFacts, Verification

SEAL_PROVES = (
    "Every file is as it was when the bag was sealed; none is missing, none was added.",
    "The photos are those that the record was made of.",
    "It was sealed with the key of the fingerprint above. Compare that with the fingerprint that you, or the owner, "
    "keep elsewhere: otherwise anybody could have changed it and sealed it anew with a key of their own.",
)
"""What a seal without faults shows."""
SEAL_PROVES_NOT = (
    "When it was sealed. A key and a clock on one's own computer prove no date; the dates in it are what the sealer "
    "typed.",
    "That the photos show the truth, or the piece that you think.",
    "That the owner of the key changed nothing: who has the key can seal anything anew. Against that doubt, give "
    "somebody else the number of the signed manifest, or have it time-stamped, when you seal.",
    "That no later bag was taken away: keep the number of the last signed manifest elsewhere too.",
)
"""What it does not show; the first falls away where a trusted time stamp says when."""
OTHER_KEY_WORDS = (
    "The bag before was sealed with another key. A check of both will ask for both fingerprints (--fingerprint)."
)

_SHOWN, _NOT_SHOWN = "What this shows", "What it does not show"
_PLAIN_PROVES = "every listed file is there, none was added, and all checksums fit."
_PLAIN_PROVES_NOT = (
    "who made the bag, when, and that nobody changed it.",
    "There is no signature, so whoever changed a file could have changed its checksum too.",
)


def fault_words(fault: FaultFacts) -> str:
    """One fault as a line."""
    place = f"{fault.bag}/{fault.path}: " if fault.path else f"{fault.bag}: "
    return place + fault.words


def verification_words(found: Verification, own_fingerprint: str = '') -> str:
    """All that is to be told when nothing is wrong.

    Parameters
    ----------
    found
        What the check found.
    own_fingerprint
        Of the key with which this computer seals; '' where it has none.
    """
    paragraphs = ['\n'.join(bag_lines(bag, own_fingerprint)) for bag in found.bags]
    paragraphs += [_paragraph(note) for note in found.notes]
    return '\n\n'.join([*paragraphs, proof_words(found)]) + '\n'


def proof_words(found: Verification) -> str:
    """What a check without faults proves, and what it does not.

    Raises
    ------
    ValueError
        If there are faults: such a bag proves nothing.
    """
    if any(bag.is_sealed for bag in found.bags):
        return '\n'.join(
            line for part in proof_parts(found) for line in (part.heading, *(f"- {one}" for one in part.lines))
        )
    return '\n'.join(f"{part.heading}: {' '.join(part.lines)}" for part in proof_parts(found))


@dataclass(frozen=True, slots=True)
class ProofPart:
    """What is shown, or what is not."""

    heading: str
    lines: tuple[str, ...]


def proof_parts(found: Verification) -> tuple[ProofPart, ProofPart]:
    """What a check without faults proves, and what it does not, line by line.

    Raises
    ------
    ValueError
        If there are faults: such a bag proves nothing.
    """
    if not found.is_valid:
        raise ValueError('a bag with faults proves nothing')
    sealed = [bag for bag in found.bags if bag.is_sealed]
    if not sealed:
        return ProofPart(_SHOWN, (_PLAIN_PROVES,)), ProofPart(_NOT_SHOWN, _PLAIN_PROVES_NOT)
    proves = [*SEAL_PROVES]
    if len(found.bags) > 1:
        proves.append("Each bag follows the one before it; none in between was changed, taken out or put in.")
    return ProofPart(_SHOWN, (*proves, *_stamp_lines(sealed))), ProofPart(_NOT_SHOWN, tuple(_limits(sealed)))


def bag_lines(bag: BagFacts, own_fingerprint: str) -> tuple[str, ...]:
    """What is to be told of one bag; the lines behind the first are set in."""
    size = f"{bag.n_files} {'file' if bag.n_files == 1 else 'files'}, {bag.n_bytes:,} bytes"
    if not bag.is_sealed:
        lines = [f"{bag.name}: whole ({size}), not sealed."]
    else:
        lines = [
            f"{bag.name}: whole and unchanged ({size}).",
            f"  Number {bag.number} of its chain, identifier {bag.identifier}",
            f"  Signed manifest, SHA-256  {bag.manifest_sha256}",
            f"  Key's fingerprint         {grouped(bag.fingerprint)}",
        ]
        if own_fingerprint:
            is_own = bag.fingerprint == own_fingerprint
            lines.append(f"  {'This is' if is_own else 'This is NOT'} the key with which this computer seals.")
        if bag.sealed_at:
            lines.append(f"  Sealed at {bag.sealed_at}, as the sealer typed it")
        if bag.time_stamp:
            lines.append(f"  Time stamp {bag.time_stamp.time} by {bag.time_stamp.authority}")
    return (*lines, *(f"  {note}" for note in bag.notes))


def new_key_words(path: Path) -> str:
    """What to do with a key that was made just now."""
    return (
        f"A new key was made for you: {path}. Keep a safe copy of it, and write its fingerprint down somewhere else: "
        "by it anybody can tell your seals from others'."
    )


def _stamp_lines(sealed: list[BagFacts]) -> list[str]:
    lines = []
    for bag in sealed:
        if bag.time_stamp and bag.time_stamp.is_trusted:
            lines.append(
                f"{bag.name} existed at {bag.time_stamp.time}: {bag.time_stamp.authority} says so, and the "
                "certificates you named vouch for it. Whether they were withdrawn since was not asked."
            )
    return lines


def _limits(sealed: list[BagFacts]) -> list[str]:
    undated, *always = SEAL_PROVES_NOT
    lines = [] if all(bag.time_stamp and bag.time_stamp.is_trusted for bag in sealed) else [undated]
    lines += [
        f"That the time stamp of {bag.name} is by a real authority: anybody can make a certificate with any name. Give "
        "the authority's certificate with --ca."
        for bag in sealed
        if bag.time_stamp and not bag.time_stamp.is_trusted
    ]
    return [*lines, *always]


def _paragraph(note: str) -> str:
    return f"Note: {note}"
