"""Nothing is done for a form or a script that does not know the session's token."""

import pytest

from tests.support.gated import client

BOUNDARY = 'edge-of-a-part'
MULTIPART = f'multipart/form-data; boundary={BOUNDARY}'
PLAIN = 'application/x-www-form-urlencoded'


def part(name, value, more=''):
    return f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"{more}\r\n\r\n{value}\r\n'


def form(*parts):
    return ''.join(parts) + f'--{BOUNDARY}--\r\n'


def send(body, kind=None, path='/act', headers=()):
    """Answer to a body in which TOKEN stands for the right token."""
    there = client()
    token = there.get('/').text
    body = body.replace('TOKEN', token) if isinstance(body, str) else body.replace(b'TOKEN', token.encode())
    kinds = [('Content-Type', kind)] if kind is not None else []
    return there.post(
        path, content=body, headers=[*kinds, *((name, value.replace('TOKEN', token)) for name, value in headers)]
    )


def test_plain_form():
    answer = send('a=1&csrf=TOKEN&b=2', PLAIN)
    assert (answer.status_code, answer.text) == (200, 'a b csrf')


def test_form_with_files_arrives_whole():
    photo = part('photo', 'x' * 200_000, '; filename="a.jpg"')
    answer = send(form(part('csrf', 'TOKEN'), part('a', '1'), photo), MULTIPART)
    assert answer.status_code == 200
    assert answer.text == 'a csrf photo'


def test_header():
    body = b'\x00\xff' * 1000
    answer = send(body, 'application/octet-stream', '/size', [('X-Csrf', 'TOKEN')])
    assert (answer.status_code, answer.text) == (200, '2000')


def test_quoted_boundary():
    answer = send(form(part('csrf', 'TOKEN')), f'multipart/form-data; charset=utf-8; boundary="{BOUNDARY}"')
    assert (answer.status_code, answer.text) == (200, 'csrf')


REFUSED = {
    'nothing': ('', None),
    'no token': ('a=1', PLAIN),
    'empty token': ('csrf=', PLAIN),
    'other token': ('csrf=AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA', PLAIN),
    'start of the token': ('csrf=TOKE', PLAIN),
    'token and more': ('csrf=TOKENx', PLAIN),
    'twice, the right one first': ('csrf=TOKEN&csrf=x', PLAIN),
    'twice, the right one last': ('csrf=x&csrf=TOKEN', PLAIN),
    'not a form': ('csrf=TOKEN', 'text/plain'),
    'no kind': ('csrf=TOKEN', None),
    'two kinds': ('csrf=TOKEN', 'text/plain, application/x-www-form-urlencoded'),
    'JSON': ('{"csrf": "TOKEN"}', 'application/json'),
    'signs that are no text': (b'csrf=\xff\xfe', PLAIN),
    'thousands of fields': ('a=1&' * 3000 + 'csrf=TOKEN', PLAIN),
    'token after the photo': (form(part('photo', 'x', '; filename="a"'), part('csrf', 'TOKEN')), MULTIPART),
    'token as a file': (form(part('csrf', 'TOKEN', '; filename="a"')), MULTIPART),
    'no boundary': (form(part('csrf', 'TOKEN')), 'multipart/form-data'),
    'empty boundary': (form(part('csrf', 'TOKEN')), 'multipart/form-data; boundary='),
    'other boundary': (form(part('csrf', 'TOKEN')), 'multipart/form-data; boundary=other'),
    'endless boundary': (form(part('csrf', 'TOKEN')), 'multipart/form-data; boundary=' + 'x' * 5000),
    'never ends': (part('csrf', 'TOKEN' * 1000), MULTIPART),
    'empty form': (form(), MULTIPART),
    'nothing in it': (b'', MULTIPART),
    'more heads': (f'--{BOUNDARY}\r\nX: 1\r\nContent-Disposition: form-data; name="csrf"\r\n\r\nTOKEN\r\n--{BOUNDARY}--', MULTIPART),
    'wrong line ends': (form(part('csrf', 'TOKEN')).replace('\r\n', '\n'), MULTIPART),
}  # fmt: skip


@pytest.mark.parametrize('case', REFUSED)
def test_refused(case):
    body, kind = REFUSED[case]
    answer = send(body, kind)
    assert answer.status_code == 403
    assert 'nothing was done' in answer.text


def test_header_twice():
    assert send('', None, '/size', [('X-Csrf', 'TOKEN'), ('X-Csrf', 'x')]).status_code == 403


def test_wrong_header_beats_right_field():
    assert send('csrf=TOKEN', PLAIN, headers=[('X-Csrf', 'x')]).status_code == 403


def test_header_that_is_no_text():
    there = client()
    there.get('/')
    assert there.post('/size', headers={'X-Csrf': b'\xff\x80'}).status_code == 403


def test_token_of_another_browser():
    other = client().get('/').text
    there = client()
    there.get('/')
    assert there.post('/act', data={'csrf': other}).status_code == 403


def test_script_is_answered_in_its_own_way():
    there = client()
    there.get('/')
    answer = there.post('/size', headers={'X-Csrf': 'x', 'Accept': 'application/json'})
    assert answer.status_code == 403
    assert set(answer.json()) == {'problem', 'remedy'}
