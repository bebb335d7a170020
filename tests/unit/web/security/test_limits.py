"""What is too large, too slow or too much ends in words."""

import asyncio

import pytest

from grader.web.security import limits
from grader.web.security.constants import BODY_GRACE_S, MAX_FORM_BYTES, MAX_UPLOADS, SLOWEST_BYTES_PER_S
from grader.web.security.limits import BodyLimits
from grader.web.security.refusal import plain_answer
from tests.support.gated import Clock, client


def with_token(there, path, content, **headers):
    return there.post(path, content=content, headers={'X-Csrf': there.get('/').text, **headers})


@pytest.mark.parametrize(('path', 'most'), [('/size', MAX_FORM_BYTES), ('/photos', 3_000_000)])
def test_announced_size(path, most):
    there = client()
    assert with_token(there, path, b'x' * most).text == str(most)
    answer = with_token(there, path, b'x' * (most + 1))
    assert answer.status_code == 413
    assert 'at most' in answer.text


def test_counted_size():
    def parts(n):
        for _ in range(n):
            yield b'x' * 100_000

    there = client()
    assert with_token(there, '/size', parts(10)).text == '1000000'
    assert with_token(there, '/size', parts(11)).status_code == 413


@pytest.mark.parametrize('length', ['-1', 'x', '1e3', '９', '99999999999999999999', ''])
def test_odd_length(length):
    sent = run_app(reading_app, [b''], headers=[(b'content-length', length.encode('utf-8'))])
    assert sent[0]['status'] == 413


def run_app(app, parts, path='/photos', headers=(), clock=None, layer=None, wait=None):
    """Messages that are sent in answer to a body of these parts."""
    sent, waiting = [], list(parts)

    async def receive():
        if wait is not None:
            await wait()
        body = waiting.pop(0)
        return {'type': 'http.request', 'body': body, 'more_body': bool(waiting)}

    async def send(message):
        sent.append(message)

    scope = {'type': 'http', 'method': 'POST', 'path': path, 'headers': list(headers)}
    layer = layer or BodyLimits(app, lambda path: 3_000_000, plain_answer, clock or Clock())
    asyncio.run(layer(scope, receive, send))
    return sent


async def reading_app(scope, receive, send):
    while (await receive()).get('more_body'):
        pass
    await send({'type': 'http.response.start', 'status': 200, 'headers': []})
    await send({'type': 'http.response.body', 'body': b'done'})


def test_slow_body():
    clock = Clock()

    async def slowly():
        clock.now_s += 10

    enough = int(SLOWEST_BYTES_PER_S * 10) + 1
    assert run_app(reading_app, [b'x' * enough] * 20, clock=clock, wait=slowly)[0]['status'] == 200
    assert run_app(reading_app, [b'x'] * 20, clock=clock, wait=slowly)[0]['status'] == 408
    assert run_app(reading_app, [b'x'] * int(BODY_GRACE_S / 10), clock=clock, wait=slowly)[0]['status'] == 200


def test_pause(monkeypatch):
    monkeypatch.setattr(limits, 'BODY_PAUSE_S', 0.01)
    sent = run_app(reading_app, [b'x'], wait=lambda: asyncio.Event().wait())
    assert sent[0]['status'] == 408
    assert b'too slow' in sent[1]['body']


def test_reader_that_is_gone(monkeypatch):
    monkeypatch.setattr(limits, 'SEND_LIMIT_S', 0.01)

    async def stuck(message):
        await asyncio.Event().wait()

    async def receive():
        return {'type': 'http.request', 'body': b'', 'more_body': False}

    layer = BodyLimits(reading_app, lambda path: 100, plain_answer, Clock())
    asyncio.run(layer({'type': 'http', 'method': 'GET', 'path': '/', 'headers': []}, receive, stuck))


def test_waiting_for_the_end_of_a_connection_is_not_timed(monkeypatch):
    monkeypatch.setattr(limits, 'BODY_PAUSE_S', 0.01)
    seen = []

    async def app(scope, receive, send):
        seen.append(await receive())
        seen.append(await receive())

    messages = [{'type': 'http.request', 'body': b'', 'more_body': False}, {'type': 'http.disconnect'}]

    async def receive():
        if len(messages) == 1:
            await asyncio.sleep(0.05)
        return messages.pop(0)

    async def send(message):
        seen.append(message)

    layer = BodyLimits(app, lambda path: 100, plain_answer, Clock())
    asyncio.run(layer({'type': 'http', 'method': 'GET', 'path': '/', 'headers': []}, receive, send))
    assert [one['type'] for one in seen] == ['http.request', 'http.disconnect']


def test_uploads_at_once():
    async def all_at_once():
        gate, sent = asyncio.Event(), []
        layer = BodyLimits(reading_app, lambda path: 3_000_000, plain_answer, Clock())

        async def receive():
            await gate.wait()
            return {'type': 'http.request', 'body': b'x', 'more_body': False}

        async def send(message):
            if message['type'] == 'http.response.start':
                sent.append(message['status'])

        async def upload():
            await layer({'type': 'http', 'method': 'POST', 'path': '/photos', 'headers': []}, receive, send)

        tasks = [asyncio.create_task(upload()) for _ in range(MAX_UPLOADS + 2)]
        await asyncio.sleep(0)
        gate.set()
        await asyncio.gather(*tasks)
        first, sent[:] = list(sent), []
        await upload()
        return first, sent

    first, afterwards = asyncio.run(all_at_once())
    assert sorted(first) == [200] * MAX_UPLOADS + [503] * 2
    assert afterwards == [200]
