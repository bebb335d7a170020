"""Requests that no browser sends, on raw sockets, to a server with our settings."""

import socket
from contextlib import ExitStack
from urllib.parse import urlsplit

import pytest

from grader.web.security import patient_protocol
from grader.web.security.constants import MAX_CONNECTIONS
from grader.web.security.patient_protocol import server_settings
from tests.support.gated import gated_app
from tests.support.live_server import served


@pytest.fixture(scope='module')
def address():
    with served(lambda port: gated_app(port=port), **server_settings()) as url:
        yield urlsplit(url).hostname, urlsplit(url).port


def exchange(address, request, *, ends=False):
    """All that is answered until the server closes the connection."""
    with socket.create_connection(address, timeout=10) as line:
        try:
            line.sendall(request)
            if ends:
                line.shutdown(socket.SHUT_WR)
            answer = b''
            while part := line.recv(65536):
                answer += part
        except ConnectionResetError:
            pass
    return answer


def head(address, line=b'GET / HTTP/1.1', *more):
    host = b'Host: %s:%d' % (address[0].encode(), address[1])
    return b'\r\n'.join([line, host, b'Connection: close', *more, b'', b''])


def status(answer):
    return int(answer.split(b' ')[1]) if answer.startswith(b'HTTP/1.1 ') else None


def test_usual_request(address):
    assert status(exchange(address, head(address))) == 200


@pytest.mark.parametrize(
    'line',
    [
        b'GET /../../etc/passwd HTTP/1.1',
        b'GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1',
        b'GET /static/..%2f..%2fetc/passwd HTTP/1.1',
        b'GET http://evil.example/ HTTP/1.1',
        b'GET * HTTP/1.1',
        b'GET /%00 HTTP/1.1',
        b'GET /\xff\xfe HTTP/1.1',
        b'GET /a b HTTP/1.1',
        b'GET / HTTP/two',
        b'\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03',
        b'\x00' * 100,
        b'GET',
        b'',
    ],
)  # fmt: skip
def test_odd_first_lines(address, line):
    assert status(exchange(address, head(address, line), ends=True)) in (400, 404, 405, None)


@pytest.mark.parametrize(
    'more',
    [
        b'X-Long: ' + b'a' * 100_000,
        b'\r\n'.join(b'X-%d: a' % at for at in range(20_000)),
        b'X-Odd: a\x00b',
        b'Bad Header: a',
        b': a',
        b'no colon',
        b'Host: evil.example',
        b'Content-Length: -1',
        b'Content-Length: 1\r\nContent-Length: 2',
        b'Content-Length: 5\r\nTransfer-Encoding: chunked',
        b'Transfer-Encoding: chunked, gzip',
    ],
    ids=range(11),
)
def test_odd_headers(address, more):
    # 501: h11's answer to codings that it does not know.
    assert status(exchange(address, head(address, b'POST /act HTTP/1.1', more), ends=True)) in (
        400,
        403,
        413,
        431,
        501,
        None,
    )


def test_no_host(address):
    assert status(exchange(address, b'GET / HTTP/1.1\r\nConnection: close\r\n\r\n')) == 400
    assert status(exchange(address, b'GET / HTTP/1.0\r\n\r\n')) == 400


def test_websocket(address):
    upgrade = (b'Upgrade: websocket', b'Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==', b'Sec-WebSocket-Version: 13')
    request = head(address, b'GET / HTTP/1.1', *upgrade).replace(b'Connection: close', b'Connection: Upgrade, close')
    assert status(exchange(address, request)) == 200  # the page as for anybody, and no socket


def test_large_body_is_refused_before_it_comes(address):
    answer = exchange(address, head(address, b'POST /act HTTP/1.1', b'Content-Length: 9999999999') + b'x' * 1000)
    assert status(answer) == 413
    assert b'at most 1000 kB' in answer


def test_large_body_in_pieces(address):
    piece = b'%x\r\n' % 100_000 + b'x' * 100_000 + b'\r\n'
    plain = b'Content-Type: application/x-www-form-urlencoded'
    request = head(address, b'POST /act HTTP/1.1', b'Transfer-Encoding: chunked', plain)
    assert status(exchange(address, request + piece * 20 + b'0\r\n\r\n', ends=True)) == 413


def test_body_that_breaks_off(address):
    for length in (b'100', b'1000'):
        plain = b'Content-Type: application/x-www-form-urlencoded'
        exchange(
            address, head(address, b'POST /act HTTP/1.1', b'Content-Length: ' + length, plain) + b'csrf=x', ends=True
        )
    assert status(exchange(address, head(address))) == 200


@pytest.fixture
def patience(monkeypatch):
    """Waits that are short enough to see their end."""
    monkeypatch.setattr(patient_protocol, 'HEAD_LIMIT_S', 0.2)
    monkeypatch.setattr(patient_protocol, 'LEFTOVER_LIMIT_S', 0.2)


@pytest.mark.parametrize('start', [b'', b'GET / HTTP/1.1\r\nHost: a', b'GET'])
@pytest.mark.usefixtures('patience')
def test_head_that_never_ends(address, start):
    assert exchange(address, start) == b''


@pytest.mark.usefixtures('patience')
def test_second_head_that_never_ends(address):
    request = head(address).replace(b'Connection: close\r\n', b'')
    with socket.create_connection(address, timeout=10) as line:
        line.sendall(request)
        answer = b''
        while len(answer.partition(b'\r\n\r\n')[2]) < 43:  # the token, which is the whole page
            answer += line.recv(65536)
        line.sendall(b'GET / HT')
        rest = b''
        while part := line.recv(65536):
            rest += part
        assert b'HTTP/1.1' not in rest


@pytest.mark.usefixtures('patience')
def test_refused_body_that_never_ends(address):
    request = head(address, b'POST /act HTTP/1.1', b'Content-Length: 500').replace(b'Connection: close\r\n', b'')
    assert status(exchange(address, request + b'x')) == 403


def test_many_connections_of_one_device(address, monkeypatch):
    monkeypatch.setattr(patient_protocol, 'is_this_computer', lambda address: False)
    monkeypatch.setattr(patient_protocol, 'MAX_CONNECTIONS_PER_ADDRESS', 3)
    with ExitStack() as stack:
        lines = [stack.enter_context(socket.create_connection(address, timeout=10)) for _ in range(3)]
        refused = stack.enter_context(socket.create_connection(address, timeout=10))
        assert refused.recv(10) == b''
        for line in lines:
            line.sendall(head(address))
            assert line.recv(65536).startswith(b'HTTP/1.1 200')


def test_crowd_of_idle_connections(address):
    """Up to the limit they harm nobody; beyond it answers say so, and all is well again once they are gone."""
    with ExitStack() as stack:
        for _ in range(MAX_CONNECTIONS - 20):
            stack.enter_context(socket.create_connection(address, timeout=10))
        assert status(exchange(address, head(address))) == 200
        for _ in range(40):
            stack.enter_context(socket.create_connection(address, timeout=10))
        assert status(exchange(address, head(address))) == 503
    for _ in range(100):
        if status(exchange(address, head(address))) == 200:
            break
    else:
        pytest.fail('the server did not recover')


def test_many_requests_in_one_go(address):
    """Requests that follow one another on a connection without waiting are each answered, in their order."""
    one = head(address).replace(b'Connection: close\r\n', b'')
    answer = exchange(address, one * 50 + head(address))
    assert answer.count(b'HTTP/1.1 200 OK') == 51


def test_request_hidden_in_a_body(address):
    """What a refused request carries is not taken for a request of its own."""
    hidden = head(address, b'GET /static/page.css HTTP/1.1')
    request = head(address, b'POST /act HTTP/1.1', b'Content-Length: %d' % len(hidden)) + hidden
    answer = exchange(address, request)
    assert status(answer) == 403
    assert answer.count(b'HTTP/1.1 ') == 1
