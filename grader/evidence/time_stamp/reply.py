"""The reply of a time-stamping authority, taken apart (RFC 3161, RFC 5652)."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from asn1crypto import cms, core, tsp

from grader.evidence.time_stamp.request import StampUnreadable

# What the lazy decoder answers hostile bytes with.
DECODER_FAULTS = (ValueError, TypeError, KeyError, AttributeError, IndexError, OverflowError, RecursionError)

_GRANTED = ('granted', 'granted_with_mods')
_SIGNING_CERTIFICATE = ('signing_certificate', 'signing_certificate_v2')


@dataclass(frozen=True, slots=True)
class StampToken:
    """A granted time stamp: what was signed, by whom, and the signature. Nothing is checked yet."""

    info: bytes
    """The stamp itself (TSTInfo, DER)."""
    algorithm: str
    """Of the digest that was stamped."""
    digest: str
    """The digest that was stamped, in hexadecimal."""
    nonce: int | None
    time: datetime
    """With its zone."""
    policy: str
    serial: int
    certificates: tuple[bytes, ...]
    """All certificates in the reply (DER); the signer's first, where it is there."""
    has_signer: bool
    """Whether the first one is the signer's."""
    signer_algorithm: str
    """Digest algorithm of the signer."""
    signature_kind: str
    """'rsassa_pkcs1v15', 'rsassa_pss', 'ecdsa', 'ed25519' or another one."""
    signature: bytes
    signed_attributes: bytes
    """As the signature covers them (DER of a SET)."""
    content_type: str
    info_digest: bytes
    """Digest of `info` by the signed attributes."""
    certificate_digests: tuple[tuple[str, bytes], ...]
    """Algorithm and digest of the signer's certificate by the signed attributes."""


def parse_reply(data: bytes) -> StampToken:
    """Take a reply apart.

    Raises
    ------
    StampUnreadable
        If it is no reply, or the authority did not grant a time stamp.
    """
    try:
        # Not tsp.TimeStampResp, which cannot read a refusal: that has no token.
        parts = [part.dump() for part in core.SequenceOf.load(data, spec=core.Any, strict=True)]
        status = tsp.PKIStatusInfo.load(parts[0], strict=True).native
        if status['status'] in _GRANTED and len(parts) == 2:
            return _token(cms.ContentInfo.load(parts[1], strict=True))
    except DECODER_FAULTS as err:
        raise StampUnreadable("it is not a time-stamp reply that can be read") from err
    texts = ", ".join(str(text) for text in status['status_string'] or ())
    raise StampUnreadable(f"the authority did not grant a time stamp ({texts or status['status']})")


def _token(content: Any) -> StampToken:
    if content['content_type'].native != 'signed_data':
        raise ValueError('not signed data')
    signed = content['content']
    info = bytes(signed['encap_content_info']['content'])
    fields = tsp.TSTInfo.load(info, strict=True).native
    (signer,) = signed['signer_infos']
    certificates = [choice.chosen for choice in signed['certificates'] if choice.name == 'certificate']
    own = [one for one in certificates if _is_of(one, signer['sid'])]
    attributes = {one['type'].native: one['values'] for one in signer['signed_attrs']}
    imprint = fields['message_imprint']
    return StampToken(
        info=info,
        algorithm=imprint['hash_algorithm']['algorithm'],
        digest=imprint['hashed_message'].hex(),
        nonce=fields['nonce'],
        time=fields['gen_time'],
        policy=fields['policy'],
        serial=fields['serial_number'],
        certificates=tuple(one.dump() for one in own + [one for one in certificates if one not in own]),
        has_signer=len(own) == 1,
        signer_algorithm=signer['digest_algorithm']['algorithm'].native,
        signature_kind=signer['signature_algorithm'].signature_algo,
        signature=signer['signature'].native,
        # Signed is the plain SET, not the tagged one that the message holds (RFC 5652, 5.4).
        signed_attributes=b'\x31' + signer['signed_attrs'].dump()[1:],
        content_type=attributes['content_type'].native[0],
        info_digest=attributes['message_digest'].native[0],
        certificate_digests=_certificate_digests(attributes),
    )


def _is_of(certificate: Any, signer_id: Any) -> bool:
    if signer_id.name == 'subject_key_identifier':
        return bool(certificate.key_identifier == signer_id.native)
    wanted: cms.IssuerAndSerialNumber = signer_id.chosen
    return bool(certificate.issuer == wanted['issuer'] and certificate.serial_number == wanted['serial_number'].native)


def _certificate_digests(attributes: Any) -> tuple[tuple[str, bytes], ...]:
    """The first certificate that each attribute names is the signer's (RFC 2634, RFC 5035)."""
    found = []
    for name in _SIGNING_CERTIFICATE:
        for value in attributes.get(name, ()):
            first = value['certs'][0]
            algorithm = 'sha1' if name == 'signing_certificate' else first['hash_algorithm']['algorithm'].native
            found.append((algorithm, first['cert_hash'].native))
    return tuple(found)
