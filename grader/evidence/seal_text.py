"""The seal's own tag file: what the bag is, which bag came before it, and whose key signed it."""

import re
from dataclasses import dataclass

from grader.evidence.bag_text import parse_tags, tag_text
from grader.evidence.constants import SEAL_VERSION

_NONE = 'none'
_HEX = re.compile('[0-9a-f]{64}')


@dataclass(frozen=True, slots=True)
class BagLink:
    """A sealed bag, as the next one names it."""

    identifier: str
    """SHA-256 of its payload manifest: the same for the same contents."""
    manifest_sha256: str
    """SHA-256 of its signed tag manifest: the same for this very seal only."""
    number: int
    """Its place in the chain, from 1."""


@dataclass(frozen=True, slots=True)
class SealFacts:
    """What seal.txt says."""

    identifier: str
    number: int
    previous_identifier: str
    """'' for the first bag of a chain."""
    previous_manifest_sha256: str
    """'' for the first bag of a chain."""
    fingerprint: str
    """SHA-256 of the public key."""
    sealed_at: str
    """Time that the user gave; '' where there is none."""


class SealUnreadable(ValueError):
    """seal.txt is not as it should be; the words say how."""


def seal_after(identifier: str, previous: BagLink | None, fingerprint: str, sealed_at: str) -> SealFacts:
    """Facts of a bag that is sealed after another one, or first."""
    return SealFacts(
        identifier=identifier,
        number=1 if previous is None else previous.number + 1,
        previous_identifier='' if previous is None else previous.identifier,
        previous_manifest_sha256='' if previous is None else previous.manifest_sha256,
        fingerprint=fingerprint,
        sealed_at=sealed_at,
    )


def seal_text(facts: SealFacts) -> str:
    """Text of seal.txt."""
    return tag_text(
        (
            ('Seal-Version', str(SEAL_VERSION)),
            ('Identifier', facts.identifier),
            ('Number', str(facts.number)),
            ('Previous-Identifier', facts.previous_identifier or _NONE),
            ('Previous-Manifest-SHA256', facts.previous_manifest_sha256 or _NONE),
            ('Key-Fingerprint-SHA256', facts.fingerprint),
            ('Signature-Algorithm', 'Ed25519'),
            ('Sealed-At', facts.sealed_at or _NONE),
        )
    )


def parse_seal(text: str) -> SealFacts:
    """Facts from the text of seal.txt.

    Raises
    ------
    SealUnreadable
        If a field is missing, wrong or unknown, or the seal is of another version.
    """
    try:
        pairs = parse_tags(text)
    except ValueError as err:
        raise SealUnreadable("it is not made of lines with a label") from err
    fields = dict(pairs)
    version = fields.get('Seal-Version', '')
    if version != str(SEAL_VERSION):
        raise SealUnreadable(
            f"it is of version \"{version[:20]}\", and this program knows version {SEAL_VERSION}; use a newer grader"
        )
    try:
        facts = SealFacts(
            identifier=_hex(fields['Identifier']),
            number=_number(fields['Number']),
            previous_identifier=_hex_or_none(fields['Previous-Identifier']),
            previous_manifest_sha256=_hex_or_none(fields['Previous-Manifest-SHA256']),
            fingerprint=_hex(fields['Key-Fingerprint-SHA256']),
            sealed_at=fields['Sealed-At'].removeprefix(_NONE),
        )
    except (KeyError, ValueError) as err:
        raise SealUnreadable("a field of it is missing or wrong") from err
    is_first = facts.number == 1
    if seal_text(facts) != text or is_first != (not facts.previous_manifest_sha256):
        raise SealUnreadable("it is not written as this program writes it")
    return facts


def _hex(value: str) -> str:
    if not _HEX.fullmatch(value):
        raise ValueError('64 hexadecimal digits are needed')
    return value


def _hex_or_none(value: str) -> str:
    return '' if value == _NONE else _hex(value)


def _number(value: str) -> int:
    if not re.fullmatch('[1-9][0-9]{0,8}', value):
        raise ValueError('a number from 1 on is needed')
    return int(value)
