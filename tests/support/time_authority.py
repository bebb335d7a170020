"""A little time-stamping authority of our own: certificates, and replies built field by field (RFC 3161)."""

import hashlib
from datetime import UTC, datetime, timedelta

from asn1crypto import algos, cms, core, tsp
from asn1crypto import x509 as asn1_x509
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, ed25519, padding, rsa
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

NOW = datetime(2026, 3, 11, 8, 0, 0, tzinfo=UTC)
POLICY = '1.2.3.4.1'
_YEAR = timedelta(days=365)


def name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


class Authority:
    """Makes replies; what is wrong with them can be chosen.

    Parameters
    ----------
    kind
        'rsa', 'ec' or 'ed25519'.
    is_for_stamps, is_critical
        Whether the certificate is for time stamps, and whether that is marked as critical.
    valid_from
        First day of the certificate, which lasts two years.
    root_valid_from
        First day of the root, which lasts three years.
    root_may_sign
        What the root's certificate says of signing others; None where it says nothing.
    between
        Certificate between root and signer: 'none', 'authority', or 'leaf', which may not issue any.
    """

    def __init__(
        self,
        kind: str = 'ec',
        *,
        is_for_stamps: bool = True,
        is_critical: bool = True,
        valid_from: datetime = NOW - _YEAR,
        root_valid_from: datetime = NOW - 2 * _YEAR,
        root_may_sign: bool | None = None,
        between: str = 'none',
    ) -> None:
        self.kind = kind
        self.root_key = ec.generate_private_key(ec.SECP256R1())
        self.root = self._issuer('Root of time', 'Root of time', self.root_key, self.root_key, root_valid_from,
                                 may_sign=root_may_sign)  # fmt: skip
        self.between: list[x509.Certificate] = []
        issuer, issuer_key = 'Root of time', self.root_key
        if between != 'none':
            issuer, issuer_key = 'Between', ec.generate_private_key(ec.SECP256R1())
            self.between = [self._issuer(issuer, 'Root of time', issuer_key, self.root_key, NOW - _YEAR,
                                         is_authority=between == 'authority')]  # fmt: skip
        self.key = {
            'rsa': lambda: rsa.generate_private_key(65537, 2048),
            'ec': lambda: ec.generate_private_key(ec.SECP256R1()),
            'ed25519': ed25519.Ed25519PrivateKey.generate,
        }[kind]()
        usage = ExtendedKeyUsageOID.TIME_STAMPING if is_for_stamps else ExtendedKeyUsageOID.SERVER_AUTH
        self.certificate = (
            builder('Little clock', issuer, self.key.public_key(), valid_from, 2 * _YEAR)
            .add_extension(x509.ExtendedKeyUsage([usage]), critical=is_critical)
            .sign(issuer_key, hashes.SHA256())
        )

    @property
    def root_pem(self) -> bytes:
        return self.root.public_bytes(Encoding.PEM)

    def reply(
        self,
        request: bytes,
        *,
        status: str = 'granted',
        nonce: int | None = -1,
        digest: bytes | None = None,
        time: datetime = NOW,
        with_certificate: bool = True,
        info_digest: bytes | None = None,
        names_certificate: bool = True,
        content_type: str = 'tst_info',
        signer_algorithm: str = 'sha256',
        signed_by: 'Authority | None' = None,
    ) -> bytes:
        """Reply to a request; each option replaces what an honest authority would put there."""
        asked = tsp.TimeStampReq.load(request)
        if status not in ('granted', 'granted_with_mods'):
            state = {'status': status, 'status_string': ['no stamps today']}
            return core.SequenceOf([tsp.PKIStatusInfo(state)], spec=core.Any).dump()
        imprint = asked['message_imprint'].copy()
        if digest is not None:
            imprint['hashed_message'] = digest
        fields = {
            'version': 'v1',
            'policy': POLICY,
            'message_imprint': imprint,
            'serial_number': 7,
            'gen_time': time,
        }
        nonce = asked['nonce'].native if nonce == -1 else nonce
        if nonce is not None:
            fields['nonce'] = nonce
        info = tsp.TSTInfo(fields)
        attributes = self._attributes(
            info_digest or hashlib.new(signer_algorithm, info.dump()).digest(), names_certificate, content_type
        )
        signed = {
            'version': 'v3',
            'digest_algorithms': [{'algorithm': 'sha256'}],
            'encap_content_info': {
                'content_type': 'tst_info',
                'content': cms.ParsableOctetString(info.dump()),
            },
            'signer_infos': [self._signer_info(attributes, signed_by or self, signer_algorithm)],
        }
        if with_certificate:
            signed['certificates'] = [
                asn1_x509.Certificate.load(self._der(one)) for one in (self.root, *self.between, self.certificate)
            ]
        token = cms.ContentInfo({'content_type': 'signed_data', 'content': cms.SignedData(signed)})
        return tsp.TimeStampResp({'status': {'status': status}, 'time_stamp_token': token}).dump()

    def _attributes(self, info_digest: bytes, names_certificate: bool, content_type: str) -> cms.CMSAttributes:
        found = [
            {'type': 'content_type', 'values': [content_type]},
            {'type': 'message_digest', 'values': [info_digest]},
        ]
        if names_certificate:
            digest = hashlib.sha256(self._der(self.certificate)).digest()
            found.append({'type': 'signing_certificate_v2', 'values': [{'certs': [{'cert_hash': digest}]}]})
        return cms.CMSAttributes(found)

    def _signer_info(self, attributes: cms.CMSAttributes, signer: 'Authority', digest: str) -> dict[str, object]:
        own = asn1_x509.Certificate.load(self._der(self.certificate))
        algorithm = {'rsa': 'sha256_rsa', 'ec': 'sha256_ecdsa', 'ed25519': 'ed25519'}[self.kind]
        return {
            'version': 'v1',
            'sid': {
                'issuer_and_serial_number': {'issuer': own.issuer, 'serial_number': own.serial_number},
            },
            'digest_algorithm': {'algorithm': digest},
            'signed_attrs': attributes,
            'signature_algorithm': algos.SignedDigestAlgorithm({'algorithm': algorithm}),
            'signature': core.OctetString(signer._sign(attributes.dump())),
        }

    def _sign(self, data: bytes) -> bytes:
        if self.kind == 'rsa':
            return self.key.sign(data, padding.PKCS1v15(), hashes.SHA256())
        if self.kind == 'ec':
            return self.key.sign(data, ec.ECDSA(hashes.SHA256()))
        return self.key.sign(data)

    @staticmethod
    def _issuer(
        subject: str,
        issuer: str,
        key: ec.EllipticCurvePrivateKey,
        issuer_key: ec.EllipticCurvePrivateKey,
        valid_from: datetime,
        *,
        is_authority: bool = True,
        may_sign: bool | None = None,
    ) -> x509.Certificate:
        made = builder(subject, issuer, key.public_key(), valid_from, 3 * _YEAR)
        made = made.add_extension(x509.BasicConstraints(ca=is_authority, path_length=None), critical=True)
        if may_sign is not None:
            usage = x509.KeyUsage(True, False, False, False, False, may_sign, False, False, False)
            made = made.add_extension(usage, critical=True)
        return made.sign(issuer_key, hashes.SHA256())

    @staticmethod
    def _der(certificate: x509.Certificate) -> bytes:
        return certificate.public_bytes(Encoding.DER)


def builder(
    subject: str, issuer: str, public_key: object, valid_from: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(name(subject))
        .issuer_name(name(issuer))
        .public_key(public_key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(valid_from)
        .not_valid_after(valid_from + lasts)
    )
