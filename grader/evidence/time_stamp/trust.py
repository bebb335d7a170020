"""Whether a time stamp was signed by the certificate in it, and whether an authority that is trusted stands behind."""

import hashlib
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, padding, rsa
from cryptography.x509.oid import ExtendedKeyUsageOID

from grader.errors import SettingsInvalid
from grader.evidence.constants import MAX_CERTIFICATES
from grader.evidence.time_stamp.reply import StampToken

# SHA-1 and MD5 no longer withstand intent (RFC 6194, RFC 6151), so signatures over them are not taken.
_HASHES: dict[str, hashes.HashAlgorithm] = {
    'sha224': hashes.SHA224(),
    'sha256': hashes.SHA256(),
    'sha384': hashes.SHA384(),
    'sha512': hashes.SHA512(),
}
# What the library answers hostile certificates with.
_CERTIFICATE_FAULTS = (
    ValueError,
    TypeError,
    IndexError,
    UnsupportedAlgorithm,
    x509.InvalidVersion,
    x509.DuplicateExtension,
    x509.ExtensionNotFound,
    x509.UnsupportedGeneralNameType,
)


@dataclass(frozen=True, slots=True, eq=False)
class Authorities:
    """Certificates of authorities that the user trusts; none means that trust is not judged."""

    certificates: tuple[x509.Certificate, ...] = ()


def authorities_from(path: Path) -> Authorities:
    """Authorities from a file of PEM certificates.

    Raises
    ------
    SettingsInvalid
        If there are none in it.
    """
    try:
        return Authorities(tuple(x509.load_pem_x509_certificates(path.read_bytes())))
    except (OSError, ValueError) as err:
        raise SettingsInvalid(
            f"{path}: there are no certificates in this file that can be read.",
            "Give the authority's own certificate as a PEM file, from its web page.",
        ) from err


def signature_faults(token: StampToken) -> list[str]:
    """What is wrong with the token's signature, as sentences."""
    if not token.has_signer:
        return ["The certificate of the authority is not in the reply, so its signature cannot be checked."]
    algorithm = _HASHES.get(token.signer_algorithm)
    if algorithm is None:
        return [f"Its signature rests on {token.signer_algorithm}, which no longer withstands intent or is unknown."]
    faults = []
    if token.content_type != 'tst_info' or token.info_digest != _digest(token.signer_algorithm, token.info):
        faults.append("What was signed is another time stamp than the one in the reply.")
    own = token.certificates[0]
    digests = token.certificate_digests
    if not digests or any(_digest(name, own) != digest for name, digest in digests):
        faults.append("The signature does not name the certificate in the reply.")
    try:
        certificate = _certificate(own)
        if not _is_signed(certificate, token, algorithm):
            faults.append("The signature of the authority does not fit.")
        faults += _purpose_faults(certificate, token.time)
    except _CERTIFICATE_FAULTS:
        faults.append("The certificate of the authority cannot be read.")
    return faults


def subject_of(token: StampToken) -> str:
    """Name of the authority by its certificate, which anybody may have made; '' where there is none."""
    try:
        return _certificate(token.certificates[0]).subject.rfc4514_string()
    except _CERTIFICATE_FAULTS:
        return ''


def is_trusted(token: StampToken, authorities: Authorities) -> bool:
    """Whether certificates that were valid at the stamp's time lead from the signer up to one of the authorities."""
    try:
        given = [_certificate(der) for der in token.certificates[:MAX_CERTIFICATES]]
        return _leads_up(given[0], given[1:], authorities.certificates, token.time)
    except _CERTIFICATE_FAULTS:
        return False


def _certificate(der: bytes) -> x509.Certificate:
    # The library warns of oddities, such as a serial number of zero, that are no fault of the user's.
    with warnings.catch_warnings(action='ignore'):
        return x509.load_der_x509_certificate(der)


def _digest(algorithm: str, data: bytes) -> bytes:
    return hashlib.new(algorithm, data, usedforsecurity=False).digest()


def _is_signed(certificate: x509.Certificate, token: StampToken, algorithm: hashes.HashAlgorithm) -> bool:
    key, signature, data = certificate.public_key(), token.signature, token.signed_attributes
    try:
        if isinstance(key, rsa.RSAPublicKey) and token.signature_kind == 'rsassa_pkcs1v15':
            key.verify(signature, data, padding.PKCS1v15(), algorithm)
        elif isinstance(key, rsa.RSAPublicKey) and token.signature_kind == 'rsassa_pss':
            key.verify(signature, data, padding.PSS(padding.MGF1(algorithm), padding.PSS.AUTO), algorithm)
        elif isinstance(key, ec.EllipticCurvePublicKey) and token.signature_kind == 'ecdsa':
            key.verify(signature, data, ec.ECDSA(algorithm))
        elif isinstance(key, ed25519.Ed25519PublicKey) and token.signature_kind == 'ed25519':
            key.verify(signature, data)
        else:
            return False
    except InvalidSignature:
        return False
    return True


def _purpose_faults(certificate: x509.Certificate, time: datetime) -> list[str]:
    """Whether the certificate is for time stamps, as RFC 3161, 2.3, wants it, and was valid then."""
    faults = []
    try:
        usage = certificate.extensions.get_extension_for_class(x509.ExtendedKeyUsage)
        is_for_stamps = usage.critical and list(usage.value) == [ExtendedKeyUsageOID.TIME_STAMPING]
    except x509.ExtensionNotFound:
        is_for_stamps = False
    if not is_for_stamps:
        faults.append("The certificate in the reply is not one for time stamps only.")
    if not _was_valid(certificate, time):
        faults.append("The certificate in the reply was not valid at the time of the stamp.")
    return faults


def _was_valid(certificate: x509.Certificate, time: datetime) -> bool:
    return certificate.not_valid_before_utc <= time <= certificate.not_valid_after_utc


def _leads_up(
    certificate: x509.Certificate,
    between: Sequence[x509.Certificate],
    trusted: Sequence[x509.Certificate],
    time: datetime,
) -> bool:
    """Whether some chain through `between` ends at a trusted certificate. Each is climbed to once, so this ends."""
    reached, left = [certificate], list(between)
    for one in reached:
        if any(one == top or _issued(one, top, time) for top in trusted):
            return True
        above = [issuer for issuer in left if _issued(one, issuer, time)]
        left = [issuer for issuer in left if issuer not in above]
        reached += above
    return False


def _issued(certificate: x509.Certificate, issuer: x509.Certificate, time: datetime) -> bool:
    """Whether `issuer` may issue certificates, was valid then, and issued this one."""
    try:
        certificate.verify_directly_issued_by(issuer)
        basic = issuer.extensions.get_extension_for_class(x509.BasicConstraints).value
    except (*_CERTIFICATE_FAULTS, InvalidSignature):
        return False
    return basic.ca and _may_sign(issuer) and _was_valid(issuer, time)


def _may_sign(issuer: x509.Certificate) -> bool:
    try:
        return issuer.extensions.get_extension_for_class(x509.KeyUsage).value.key_cert_sign
    except x509.ExtensionNotFound:
        return True
