"""RFC 3161: a request byte for byte, and both ways between this program and the ``openssl ts`` command.

The request was made with OpenSSL 3.0 (``openssl ts -query -sha256 -no_nonce``) over the text "abc".
"""

import hashlib
import shutil
import subprocess

import pytest
from cryptography import x509

from grader.evidence.check_stamp import judge_stamp
from grader.evidence.time_stamp.request import parse_request, request_for
from grader.evidence.time_stamp.trust import Authorities
from tests.support.time_authority import Authority

ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'
REQUEST = f'30360201013031300d060960864801650304020105000420{ABC}'
REQUEST_WITH_CERTIFICATE = f'30390201013031300d060960864801650304020105000420{ABC}0101ff'

needs_openssl = pytest.mark.skipif(shutil.which('openssl') is None, reason='the openssl command is not installed')

SETTINGS = """
[tsa]
default_tsa = one
[one]
dir = .
serial = serial
crypto_device = builtin
signer_cert = clock.pem
certs = root.pem
signer_key = clock.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
ess_cert_id_chain = no
ess_cert_id_alg = ESS
[clock]
extendedKeyUsage = critical,timeStamping
[root]
basicConstraints = critical,CA:TRUE
"""


def test_the_printed_request():
    assert request_for(ABC, None, wants_certificate=False).hex() == REQUEST
    assert request_for(ABC, None).hex() == REQUEST_WITH_CERTIFICATE


def test_the_printed_request_is_read():
    asked = parse_request(bytes.fromhex(REQUEST))
    assert (asked.algorithm, asked.digest, asked.nonce) == ('sha256', ABC, None)


def openssl(folder, *args):
    return subprocess.run(['openssl', *map(str, args)], cwd=folder, capture_output=True, text=True, check=True)


@pytest.fixture(params=[('rsa:2048', 'sha256'), ('ec', 'sha512'), ('ec', 'sha1')], ids=' '.join)
def authority(tmp_path, request):
    """An authority of openssl's making; by SHA-1 its replies name only the certificate (RFC 2634), as older ones do."""
    key_kind, ess = request.param
    (tmp_path / 'settings').write_text(SETTINGS.replace('ESS', ess))
    (tmp_path / 'serial').write_text('01\n')
    kind = ['-newkey', key_kind, *(['-pkeyopt', 'ec_paramgen_curve:P-256'] if key_kind == 'ec' else [])]
    openssl(tmp_path, 'req', '-x509', *kind, '-nodes', '-keyout', 'root.key', '-out', 'root.pem', '-days', 30,
            '-subj', '/CN=Root', '-addext', 'keyUsage=critical,keyCertSign')  # fmt: skip
    openssl(tmp_path, 'req', *kind, '-nodes', '-keyout', 'clock.key', '-out', 'clock.csr', '-subj', '/CN=Clock')
    openssl(tmp_path, 'x509', '-req', '-in', 'clock.csr', '-CA', 'root.pem', '-CAkey', 'root.key', '-CAcreateserial',
            '-out', 'clock.pem', '-days', 20, '-extfile', 'settings', '-extensions', 'clock')  # fmt: skip
    return tmp_path


@needs_openssl
def test_openssl_answers_our_request_and_we_take_its_reply(authority):
    digest = hashlib.sha256(b'a manifest').hexdigest()
    request = request_for(digest, 0x1122334455667788)
    (authority / 'a.tsq').write_bytes(request)
    assert 'Nonce: 0x1122334455667788' in openssl(authority, 'ts', '-query', '-in', 'a.tsq', '-text').stdout
    openssl(authority, 'ts', '-reply', '-config', 'settings', '-queryfile', 'a.tsq', '-out', 'a.tsr')
    reply = (authority / 'a.tsr').read_bytes()
    trusted = Authorities((x509.load_pem_x509_certificate((authority / 'root.pem').read_bytes()),))
    check = judge_stamp(request, reply, digest, trusted)
    assert check.faults == ()
    assert check.is_trusted
    assert check.authority == 'CN=Clock'
    assert not judge_stamp(request, reply, digest, Authorities()).is_trusted


@needs_openssl
@pytest.mark.parametrize('kind', ['rsa', 'ec'])
def test_openssl_takes_the_replies_of_our_test_authority(tmp_path, kind):
    """So what the other tests call an honest reply is one by another program too."""
    request = request_for(ABC, 99)
    authority = Authority(kind)
    (tmp_path / 'a.tsq').write_bytes(request)
    (tmp_path / 'a.tsr').write_bytes(authority.reply(request))
    (tmp_path / 'root.pem').write_bytes(authority.root_pem)
    # At the time of the stamp, whenever the test runs.
    run = openssl(tmp_path, 'ts', '-verify', '-queryfile', 'a.tsq', '-in', 'a.tsr', '-CAfile', 'root.pem',
                  '-attime', 1773216000)  # fmt: skip
    assert 'Verification: OK' in run.stdout
