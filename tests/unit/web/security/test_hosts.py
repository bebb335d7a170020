"""Only our own name opens the page: another page's name that points here does not."""

import pytest

from tests.support.gated import OWN, PHONE, PORT, client, gated_app


@pytest.mark.parametrize('host', ['localhost:8765', '127.0.0.1:8765', '[::1]:8765', 'LOCALHOST:8765'])
def test_own_names(host):
    assert client().get('/', headers={'Host': host}).status_code == 200


@pytest.mark.parametrize(
    'host',
    [
        'evil.example',
        'evil.example:8765',
        'localhost',
        'localhost:80',
        'localhost:8766',
        'localhost.evil.example:8765',
        'evil.example@localhost:8765',
        'localhost:8765@evil.example',
        '127.0.0.1.nip.example:8765',
        '127.1:8765',
        '0.0.0.0:8765',
        '2130706433:8765',
        'localhost:8765, evil.example',
        'localhost.:8765',
        '192.168.1.5:8765',
        '',
    ],
)
def test_other_names(host):
    answer = client().get('/', headers={'Host': host})
    assert answer.status_code == 421
    assert 'under a name that is not its own' in answer.text
    assert 'set-cookie' not in answer.headers


def test_two_names():
    answer = client().get('/', headers=[('Host', 'localhost:8765'), ('Host', 'evil.example')])
    assert answer.status_code == 400


@pytest.mark.parametrize('path', ['/pair', '/static/page.css'])
def test_other_names_on_open_pages_too(path):
    assert client().get(path, headers={'Host': 'evil.example'}).status_code == 421


def test_default_port_may_be_left_out():
    app = gated_app(port=80)
    assert client(app, base_url='http://localhost').get('/').status_code == 200
    assert client(app, base_url='http://localhost').get('/', headers={'Host': 'localhost:80'}).status_code == 200


def test_address_of_the_home_network_only_where_shared():
    def asked(share):
        # The test client takes the address of the connection from the address that is asked for.
        there = client(gated_app(share=share), base_url=f'http://192.168.1.5:{PORT}', client=PHONE)
        return there.get('/pair').status_code

    assert (asked(True), asked(False)) == (200, 421)


def test_other_address_is_foreign_where_shared():
    there = client(gated_app(share=True), base_url=f'http://192.168.1.5:{PORT}', client=PHONE)
    assert there.get('/pair', headers={'Host': f'192.168.1.6:{PORT}'}).status_code == 421
    assert there.get('/pair', headers={'Host': f'glass.local:{PORT}'}).status_code == 421


def test_remedy_names_the_right_address():
    assert f'{OWN}/' in client().get('/', headers={'Host': 'evil.example'}).text
