"""Digests and signatures of published test vectors, by the functions that seal and check a bag.

Sources: FIPS 180-4 and its example values (SHA-256, SHA-512); RFC 8032, section 7.1, tests 1 and 2 (Ed25519). Inputs and
outputs from memory, recomputed with another library.
"""

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from grader.evidence.hashing import digests_of_bytes, digests_of_file, sha256_of
from grader.evidence.seal_key import SealKey, is_signed_by, public_key_from

SHA256 = [
    ('H-1', b'abc', 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'),
    ('H-2', b'', 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855'),
    ('H-3', b'abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq',
     '248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1'),
    ('H-4', b'a' * 1_000_000, 'cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0'),
]  # fmt: skip


@pytest.mark.parametrize(('data', 'digest'), [row[1:] for row in SHA256], ids=[row[0] for row in SHA256])
def test_sha_256(tmp_path, data, digest):
    assert sha256_of(data) == digest
    (tmp_path / 'a').write_bytes(data)
    assert digests_of_file(tmp_path / 'a', ('sha256',)) == {'sha256': digest}


def test_h_5_sha_512():
    assert digests_of_bytes(b'abc', ('sha512',))['sha512'] == (
        'ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a'
        '2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f'
    )


@pytest.mark.parametrize(
    ('secret', 'public', 'message', 'signature'),
    [
        (
            '9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60',
            'd75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a',
            '',
            'e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46b'
            'd25bf5f0595bbe24655141438e7a100b',
        ),
        (
            '4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb',
            '3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c',
            '72',
            '92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c'
            '387b2eaeb4302aeeb00d291612bb0c00',
        ),
    ],
    ids=['ED-1', 'ED-2'],
)
def test_ed25519(secret, public, message, signature):
    key = SealKey(Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)), is_new=False)
    told = public_key_from(key.public_pem)
    assert told.public_bytes_raw().hex() == public
    assert key.sign(bytes.fromhex(message)).hex() == signature
    assert is_signed_by(told, bytes.fromhex(signature), bytes.fromhex(message))
    assert not is_signed_by(told, bytes.fromhex(signature), bytes.fromhex(message) + b' ')
