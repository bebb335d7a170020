"""The request for a time stamp: a digest, and a number that ties the reply to it."""

from dataclasses import dataclass

from asn1crypto import tsp

_SHA256 = 'sha256'


class StampUnreadable(ValueError):
    """A request or a reply is not one, as far as can be read; the words say how."""


@dataclass(frozen=True, slots=True)
class StampRequest:
    """What a request asks for."""

    algorithm: str
    """Of the digest."""
    digest: str
    """In hexadecimal."""
    nonce: int | None
    """The number that the reply has to repeat; None where the request has none."""


def request_for(digest: str, nonce: int | None, *, wants_certificate: bool = True) -> bytes:
    """Request (DER) for a time stamp over a SHA-256 digest.

    Parameters
    ----------
    digest
        In hexadecimal.
    nonce
        Large random number, or None for a request without.
    wants_certificate
        Whether the reply shall hold the certificate of the authority, without which it cannot be checked alone.
    """
    fields: dict[str, object] = {
        'version': 'v1',
        'message_imprint': {
            'hash_algorithm': {'algorithm': _SHA256},
            'hashed_message': bytes.fromhex(digest),
        },
    }
    if nonce is not None:
        fields['nonce'] = nonce
    if wants_certificate:
        # The default, False, is left out in DER.
        fields['cert_req'] = True
    data: bytes = tsp.TimeStampReq(fields).dump()
    return data


def parse_request(data: bytes) -> StampRequest:
    """What a request asks for.

    Raises
    ------
    StampUnreadable
        If it is none.
    """
    try:
        fields = tsp.TimeStampReq.load(data, strict=True).native
        imprint = fields['message_imprint']
        return StampRequest(imprint['hash_algorithm']['algorithm'], imprint['hashed_message'].hex(), fields['nonce'])
    # The decoder is lazy and answers hostile bytes with these.
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError) as err:
        raise StampUnreadable("it is not a time-stamp request") from err
