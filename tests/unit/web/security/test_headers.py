"""What each answer tells the browser."""

import pytest
from starlette.datastructures import MutableHeaders

from grader.web.security.headers import CONTENT_POLICY, REPORT_POLICY, set_headers
from tests.support.gated import PHONE, client


def check(headers):
    assert headers['content-security-policy'] == CONTENT_POLICY
    assert headers['x-content-type-options'] == 'nosniff'
    assert headers['cross-origin-resource-policy'] == 'same-origin'
    assert headers['cache-control'] == 'no-store'
    assert headers['referrer-policy'] == 'same-origin'
    assert 'server' not in headers
    assert 'access-control-allow-origin' not in headers


@pytest.mark.parametrize('path', ['/', '/nothing', '/pair', '/static/page.css'])
def test_on_pages(path):
    check(client().get(path).headers)


def test_on_refusals():
    check(client(client=PHONE).get('/').headers)
    check(client().post('/act').headers)
    check(client().get('/', headers={'Host': 'evil.example'}).headers)
    check(client().post('/act', content=b'x' * 2_000_000).headers)


def test_on_our_own_faults():
    answer = client(raise_server_exceptions=False).get('/broken')
    assert answer.status_code == 500
    check(answer.headers)
    assert 'This is a fault in grader' in answer.text
    assert 'secret' not in answer.text


def test_fault_goes_on_to_the_log():
    with pytest.raises(RuntimeError, match='a secret of the program'):
        client().get('/broken')


def test_policy_allows_nothing_inline():
    assert 'unsafe' not in CONTENT_POLICY
    assert 'http' not in CONTENT_POLICY
    assert "default-src 'none'" in CONTENT_POLICY


@pytest.mark.parametrize(
    ('wished', 'kept'),
    [
        ('private, max-age=60', 'private, max-age=60'),
        ('private, max-age=60, immutable', 'private, max-age=60, immutable'),
        ('public, max-age=60', 'no-store'),
        ('max-age=60', 'no-store'),
        ('public, private', 'no-store'),
        ('', 'no-store'),
    ],
)
def test_kept_only_privately(wished, kept):
    headers = MutableHeaders({'Cache-Control': wished})
    set_headers(headers)
    assert headers['cache-control'] == kept


@pytest.mark.parametrize(
    ('wished', 'kept'), [(REPORT_POLICY, REPORT_POLICY), ("script-src 'unsafe-inline'", CONTENT_POLICY)]
)
def test_only_a_report_has_another_policy(wished, kept):
    headers = MutableHeaders({'Content-Security-Policy': wished})
    set_headers(headers)
    assert headers['content-security-policy'] == kept
