"""Pages of others can neither send forms in her name nor read or show what is ours."""

import pytest

from tests.support.gated import OWN, client

LINK = {'Sec-Fetch-Site': 'cross-site', 'Sec-Fetch-Mode': 'navigate', 'Sec-Fetch-Dest': 'document'}


def send(headers):
    there = client()
    token = there.get('/').text
    return there.post('/act', data={'csrf': token, 'a': '1'}, headers=headers)


@pytest.mark.parametrize(
    'headers',
    [
        {},
        {'Origin': OWN},
        {'Origin': OWN, 'Sec-Fetch-Site': 'same-origin'},
        {'Sec-Fetch-Site': 'none'},
    ],
    ids=str,
)
def test_own_forms(headers):
    answer = send(headers)
    assert (answer.status_code, answer.text) == (200, 'a csrf')


@pytest.mark.parametrize(
    'headers',
    [
        {'Origin': 'https://evil.example'},
        {'Origin': 'null'},
        {'Origin': 'http://localhost:9999'},
        {'Origin': 'https://localhost:8765'},
        {'Origin': 'http://127.0.0.1:8765'},
        {'Origin': ''},
        {'Origin': f'{OWN}, https://evil.example'},
        {'Sec-Fetch-Site': 'cross-site'},
        {'Sec-Fetch-Site': 'same-site'},
        {'Sec-Fetch-Site': 'same-origin, cross-site'},
        {'Origin': OWN, **LINK},
    ],
    ids=str,
)
def test_forms_of_others(headers):
    answer = send(headers)
    assert answer.status_code == 403
    assert 'Another page tried' in answer.text


def test_two_origins():
    there = client()
    token = there.get('/').text
    headers = [('Origin', OWN), ('Origin', 'https://evil.example'), ('X-Csrf', token)]
    assert there.post('/size', headers=headers).status_code == 403


@pytest.mark.parametrize('site', ['cross-site', 'same-site'])
@pytest.mark.parametrize(
    ('mode', 'dest'), [('no-cors', 'image'), ('cors', 'empty'), ('no-cors', 'script'), ('navigate', 'iframe')]
)
def test_pictures_scripts_and_frames_in_pages_of_others(site, mode, dest):
    headers = {'Sec-Fetch-Site': site, 'Sec-Fetch-Mode': mode, 'Sec-Fetch-Dest': dest}
    answer = client().get('/', headers=headers)
    assert answer.status_code == 403
    assert 'set-cookie' not in answer.headers


def test_link_from_another_page_asks_once_more_and_keeps_the_cookie():
    there = client()
    answer = there.get('/', headers=LINK)
    assert answer.status_code == 200
    assert 'http-equiv="refresh"' in answer.text
    assert 'set-cookie' not in answer.headers
    assert 'set-cookie' in there.get('/', headers={**LINK, 'Sec-Fetch-Site': 'same-origin'}).headers


def test_link_with_our_cookie_is_answered_at_once():
    there = client()
    token = there.get('/').text
    assert there.get('/', headers=LINK).text == token
