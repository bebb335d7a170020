"""The key: made once, for the owner's eyes only, and never replaced."""

import os
import stat
from concurrent.futures import ThreadPoolExecutor

import pytest
from cryptography.hazmat.primitives.asymmetric import rsa
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat

from grader.errors import OutputNotWritable, SettingsInvalid
from grader.evidence.seal_key import fingerprint_of, grouped, is_signed_by, key_from, public_key_from
from tests.support.sealed_bags import key


def test_made_once_and_then_read(tmp_path):
    path = tmp_path / 'deep' / 'key.pem'
    first, second = key_from(path), key_from(path)
    assert (first.is_new, second.is_new) == (True, False)
    assert first.fingerprint == second.fingerprint
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [one.name for one in path.parent.iterdir()] == ['key.pem']


def test_rights_do_not_depend_on_the_users_mask(tmp_path):
    old = os.umask(0)
    try:
        key_from(tmp_path / 'key.pem')
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / 'key.pem').stat().st_mode) == 0o600


def test_many_at_once_get_the_same_key(tmp_path):
    with ThreadPoolExecutor(16) as pool:
        keys = list(pool.map(lambda _: key_from(tmp_path / 'key.pem'), range(64)))
    assert len({one.fingerprint for one in keys}) == 1
    assert sum(one.is_new for one in keys) == 1
    assert [one.name for one in tmp_path.iterdir()] == ['key.pem']


@pytest.mark.parametrize('mode', [0o640, 0o604, 0o660, 0o644])
def test_a_key_that_others_can_read_is_refused(tmp_path, mode):
    key_from(tmp_path / 'key.pem')
    (tmp_path / 'key.pem').chmod(mode)
    with pytest.raises(SettingsInvalid, match=r'other users of this computer may read this key\. If nobody else'):
        key_from(tmp_path / 'key.pem')


@pytest.mark.parametrize('data', [b'', b'hello', key().public_pem])
def test_another_file_is_refused_and_left_as_it_is(tmp_path, data):
    path = tmp_path / 'key.pem'
    path.write_bytes(data)
    path.chmod(0o600)
    with pytest.raises(SettingsInvalid, match='this is not a key that "grader seal" made'):
        key_from(path)
    assert path.read_bytes() == data


def test_a_key_of_another_kind_is_refused(tmp_path):
    pem = rsa.generate_private_key(65537, 2048).private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    (tmp_path / 'key.pem').write_bytes(pem)
    (tmp_path / 'key.pem').chmod(0o600)
    with pytest.raises(SettingsInvalid, match='this is not a key'):
        key_from(tmp_path / 'key.pem')


def test_a_folder_in_its_place(tmp_path):
    with pytest.raises(SettingsInvalid):
        key_from(tmp_path)


def test_no_place_for_a_key(tmp_path):
    (tmp_path / 'file').write_text('x')
    with pytest.raises(OutputNotWritable, match=r'the new key cannot be written \(.*\)\. Give another place'):
        key_from(tmp_path / 'file' / 'key.pem')


def test_signature():
    public = public_key_from(key().public_pem)
    signature = key().sign(b'abc')
    assert is_signed_by(public, signature, b'abc')
    assert not is_signed_by(public, signature, b'abd')
    assert not is_signed_by(public_key_from(key(2).public_pem), signature, b'abc')
    assert not is_signed_by(public, b'', b'abc')
    assert fingerprint_of(public) == key().fingerprint


@pytest.mark.parametrize('kind', ['empty', 'text', 'rsa'])
def test_what_is_no_public_key(kind):
    data = {
        'empty': b'',
        'text': b'-----BEGIN PUBLIC KEY-----\nAAAA\n-----END PUBLIC KEY-----\n',
        'rsa': rsa.generate_private_key(65537, 2048)
        .public_key()
        .public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo),
    }[kind]
    with pytest.raises(ValueError, match='not a'):
        public_key_from(data)


def test_grouped():
    assert grouped('0123456789ab') == '0123 4567 89ab'
