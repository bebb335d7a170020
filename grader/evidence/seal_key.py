"""The key that signs: made once, kept with owner-only rights, never replaced."""

import hashlib
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
    load_pem_public_key,
)

from grader.errors import OutputNotWritable, SettingsInvalid

_ONLY_OWNER = 0o600
_OTHERS = 0o077


@dataclass(frozen=True, slots=True, eq=False)
class SealKey:
    """A private key, and whether it was made just now."""

    private: Ed25519PrivateKey
    is_new: bool

    @property
    def public_pem(self) -> bytes:
        """The public key as it goes into a bag."""
        return self.private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the public key, in hexadecimal."""
        return fingerprint_of(self.private.public_key())

    def sign(self, data: bytes) -> bytes:
        """Signature (64 bytes); the same bytes always get the same one."""
        return self.private.sign(data)


def key_from(path: Path) -> SealKey:
    """Key in the file, which is made where there is none.

    Raises
    ------
    SettingsInvalid
        If the file holds no Ed25519 key, or others can read it.
    OutputNotWritable
        If there is none and none can be written.
    """
    is_new = not path.exists()
    if is_new:
        is_new = _make_key(path)
    return SealKey(_read_key(path), is_new)


def fingerprint_at(path: Path) -> str:
    """Fingerprint of the key in a file; '' where there is none, or none that could sign."""
    try:
        return fingerprint_of(_read_key(path).public_key()) if path.exists() else ''
    except SettingsInvalid:
        return ''


def fingerprint_of(key: Ed25519PublicKey) -> str:
    """SHA-256 of the key in its standard form (SubjectPublicKeyInfo, DER), in hexadecimal."""
    return hashlib.sha256(key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)).hexdigest()


def public_key_from(pem: bytes) -> Ed25519PublicKey:
    """Public key of a bag.

    Raises
    ------
    ValueError
        If it is none.
    """
    try:
        key = load_pem_public_key(pem)
    except (ValueError, TypeError, UnsupportedAlgorithm) as err:
        raise ValueError('not a public key') from err
    if not isinstance(key, Ed25519PublicKey):
        raise ValueError('not an Ed25519 key')
    return key


def is_signed_by(key: Ed25519PublicKey, signature: bytes, data: bytes) -> bool:
    """Whether the signature of these bytes is by this key."""
    try:
        key.verify(signature, data)
    except InvalidSignature:
        return False
    return True


def grouped(fingerprint: str) -> str:
    """Fingerprint in groups of four, to be read aloud or copied by hand."""
    return ' '.join(fingerprint[k : k + 4] for k in range(0, len(fingerprint), 4))


def _read_key(path: Path) -> Ed25519PrivateKey:
    try:
        if os.name == 'posix' and path.stat().st_mode & _OTHERS:
            raise SettingsInvalid(
                f"{path}: other users of this computer may read this key.",
                f"If nobody else uses it, take their rights away: chmod 600 \"{path}\". Otherwise use a new key.",
            )
        key = load_pem_private_key(path.read_bytes(), password=None)
    except OSError as err:
        raise SettingsInvalid(
            f"{path}: the key cannot be opened ({err.strerror or err}).", "Check the name and your rights to the file."
        ) from err
    except (ValueError, TypeError, UnsupportedAlgorithm) as err:
        raise _no_key(path) from err
    if not isinstance(key, Ed25519PrivateKey):
        raise _no_key(path)
    return key


def _no_key(path: Path) -> SettingsInvalid:
    return SettingsInvalid(
        f"{path}: this is not a key that \"grader seal\" made.",
        "Put the right key back from your safe copy, or give another file with --key.",
    )


def _make_key(path: Path) -> bool:
    """Whether a new key was written; False where another program was quicker."""
    pem = Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        return _put_without_replacing(path, pem)
    except OSError as err:
        raise OutputNotWritable(
            f"{path}: the new key cannot be written ({err.strerror or err}).",
            "Give another place for it with --key.",
        ) from err


def _put_without_replacing(path: Path, data: bytes) -> bool:
    """Put a whole file in place in one step, unless there is one of this name."""
    work = path.parent / f'.key-{secrets.token_hex(4)}'
    try:
        descriptor = os.open(work, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _ONLY_OWNER)
        with os.fdopen(descriptor, 'wb') as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        # A second name for the file: unlike renaming this never takes the place of another file.
        os.link(work, path)
    except FileExistsError:
        return False
    finally:
        work.unlink(missing_ok=True)
    return True
