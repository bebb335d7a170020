"""Requests that none of our pages sends."""

import pytest

from grader.web.security.refusal import Refusal
from grader.web.security.request_shape import check_shape
from tests.support.gated import client


@pytest.mark.parametrize('method', ['PUT', 'DELETE', 'PATCH', 'OPTIONS', 'TRACE', 'CONNECT', 'BREW'])
def test_other_methods(method):
    answer = client().request(method, '/')
    assert answer.status_code == 405
    assert answer.headers['allow'] == 'GET, HEAD, POST'


def test_head_is_like_get():
    answer = client().head('/')
    assert (answer.status_code, answer.text) == (200, '')


@pytest.mark.parametrize(
    'path',
    [
        '/a\0b',
        '/a\nb',
        '/a\r\nSet-Cookie: x=1',
        '/a\x7f',
        '/\ufffd',
        '/..',
        '/../etc/passwd',
        '/static/../../secret',
        '/pieces/./x',
        '/..\\..\\secret',
        '/' + 'a' * 2000,
        '',
        'http://evil.example/',
        '*',
        '/a\u202eb',
    ],
)
def test_odd_paths(path):
    with pytest.raises(Refusal, match='no page with such an address') as caught:
        check_shape({'type': 'http', 'method': 'GET', 'path': path, 'headers': []})
    assert caught.value.status == 400


@pytest.mark.parametrize('path', ['/', '/pieces/abcd2345', '/pieces/x/photos/1.jpg', '/a..b', '/...', '/a b', '/é'])
def test_usual_paths(path):
    check_shape({'type': 'http', 'method': 'GET', 'path': path, 'headers': []})


@pytest.mark.parametrize('path', ['/%00', '/static/%2e%2e/%2e%2e/etc/passwd', '/a%0d%0ab', '/%ff', '/%5c..%5c'])
def test_odd_paths_as_they_are_sent(path):
    answer = client().get(path)
    assert answer.status_code == 400
