"""A time stamp counts only if it answers this request, is for this bag, and is signed by the certificate in it."""

from datetime import timedelta

import pytest
from cryptography import x509

from grader.evidence.check_stamp import judge_stamp
from grader.evidence.time_stamp.reply import parse_reply
from grader.evidence.time_stamp.request import StampUnreadable, parse_request, request_for
from grader.evidence.time_stamp.trust import Authorities
from tests.support.time_authority import NOW, Authority

DIGEST = 'ab' * 32
NONCE = 0x1234567890ABCDEF
REQUEST = request_for(DIGEST, NONCE)
NOBODY = Authorities()


@pytest.fixture(scope='module')
def authority():
    return Authority()


def words(reply: bytes, authorities: Authorities = NOBODY, request: bytes = REQUEST, digest: str = DIGEST) -> str:
    return ' '.join(fault.words for fault in judge_stamp(request, reply, digest, authorities).faults)


def test_request_says_what_it_was_made_of():
    asked = parse_request(REQUEST)
    assert (asked.algorithm, asked.digest, asked.nonce) == ('sha256', DIGEST, NONCE)


@pytest.mark.parametrize('data', [b'', b'0', b'\x30\x80', b'hello', REQUEST[:-1], REQUEST + b'\0', bytes(range(256))])
def test_what_is_no_request_is_refused(data):
    with pytest.raises(StampUnreadable, match='it is not a time-stamp request'):
        parse_request(data)


@pytest.mark.parametrize('kind', ['rsa', 'ec', 'ed25519'])
def test_an_honest_reply_has_no_faults(kind):
    authority = Authority(kind)
    check = judge_stamp(REQUEST, authority.reply(REQUEST), DIGEST, NOBODY)
    assert check.faults == ()
    assert (check.time, check.authority) == ('2026-03-11T08:00:00+00:00', 'CN=Little clock')
    assert not check.is_trusted


def test_granted_with_changes_counts_too(authority):
    assert words(authority.reply(REQUEST, status='granted_with_mods')) == ''


def test_trust_needs_the_authority_that_was_named(authority):
    trusted = Authorities((authority.root,))
    assert judge_stamp(REQUEST, authority.reply(REQUEST), DIGEST, trusted).is_trusted
    own = Authorities((authority.certificate,))
    assert judge_stamp(REQUEST, authority.reply(REQUEST), DIGEST, own).is_trusted
    # Of the same name, with another key.
    stranger = Authorities((Authority().root,))
    assert "No chain of certificates leads from the time stamp" in words(authority.reply(REQUEST), stranger)


def is_trusted(authority: Authority) -> bool:
    return judge_stamp(REQUEST, authority.reply(REQUEST), DIGEST, Authorities((authority.root,))).is_trusted


@pytest.mark.parametrize(
    ('options', 'expected'),
    [
        ({}, True),
        ({'between': 'authority'}, True),
        ({'between': 'leaf'}, False),
        ({'root_may_sign': True}, True),
        ({'root_may_sign': False}, False),
        ({'root_valid_from': NOW - timedelta(days=4 * 365)}, False),
        ({'root_valid_from': NOW + timedelta(days=1)}, False),
    ],
    ids=str,
)
def test_each_certificate_of_the_chain_must_be_allowed_and_valid(options, expected):
    assert is_trusted(Authority(**options)) is expected


@pytest.mark.parametrize(
    ('changes', 'expected'),
    [
        ({'status': 'rejection'}, "the authority did not grant a time stamp (no stamps today)."),
        ({'status': 'waiting'}, "the authority did not grant a time stamp"),
        ({'nonce': 5}, "does not repeat the request's number"),
        ({'nonce': None}, "does not repeat the request's number"),
        ({'digest': bytes(32)}, "The time stamp is for another bag"),
        ({'with_certificate': False}, "The certificate of the authority is not in the reply"),
        ({'info_digest': bytes(32)}, "What was signed is another time stamp"),
        ({'content_type': 'data'}, "What was signed is another time stamp"),
        ({'signer_algorithm': 'sha1'}, "Its signature rests on sha1, which no longer withstands intent"),
        ({'names_certificate': False}, "The signature does not name the certificate in the reply."),
        ({'signed_by': Authority()}, "The signature of the authority does not fit."),
        ({'time': NOW + timedelta(days=800)}, "was not valid at the time of the stamp."),
    ],
    ids=lambda value: '-'.join(value) if isinstance(value, dict) else '',
)
def test_each_fault_of_a_reply_is_told(authority, changes, expected):
    assert expected in words(authority.reply(REQUEST, **changes))


@pytest.mark.parametrize('options', [{'is_for_stamps': False}, {'is_critical': False}], ids=str)
def test_a_certificate_for_other_uses_is_told(options):
    assert "not one for time stamps only" in words(Authority(**options).reply(REQUEST))


def test_a_certificate_of_later_is_told():
    assert "was not valid at the time" in words(Authority(valid_from=NOW + timedelta(days=1)).reply(REQUEST))


def test_another_bag_is_told(authority):
    reply = authority.reply(REQUEST)
    assert "The request is for another bag" in words(reply, digest='cd' * 32)
    assert "The time stamp is for another bag" in words(reply, digest='cd' * 32)
    assert "answers another request" in words(reply, request=request_for(DIGEST, NONCE + 1))


def test_a_request_without_number_needs_none_in_the_reply(authority):
    request = request_for(DIGEST, None)
    assert words(authority.reply(request), request=request) == ''


def test_no_changed_byte_of_a_reply_sets_off_more_than_words(authority):
    reply = authority.reply(REQUEST)
    n_told = 0
    for k in range(0, len(reply), 3):
        n_told += bool(words(reply[:k] + bytes([reply[k] ^ 0x41]) + reply[k + 1 :]))
    # Bytes outside of what is signed, the root certificate above all, are kept by the checksums in the bag.
    assert n_told > 0.5 * len(range(0, len(reply), 3))
    for k in range(0, len(reply), 50):
        with pytest.raises(StampUnreadable):
            parse_reply(reply[:k])


def test_certificates_in_the_reply_are_the_signers_first(authority):
    token = parse_reply(authority.reply(REQUEST))
    assert x509.load_der_x509_certificate(token.certificates[0]) == authority.certificate
    assert len(token.certificates) == 2
