"""Who is in, for how long, and what the cookie looks like."""

import pytest

from grader.web.security.constants import MAX_OWN_SESSIONS, MAX_PHONES, SESSION_IDLE_S
from grader.web.security.sessions import Sessions, cookie_name, cookie_of, device_name
from tests.support.gated import COMPUTER, PHONE, PORT, Clock, client, gated_app


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def sessions(clock):
    return Sessions(clock)


def test_browser_of_this_computer_is_in_at_once_and_stays():
    there = client()
    first = there.get('/')
    assert len(first.text) > 40
    again = there.get('/')
    assert again.text == first.text
    assert 'set-cookie' not in again.headers


def test_cookie_is_out_of_reach_of_scripts_and_other_pages():
    header = client().get('/').headers['set-cookie']
    secret, *attributes = header.split('; ')
    assert secret.startswith(f'{cookie_name(PORT)}=')
    assert len(secret.partition('=')[2]) >= 43  # 256 bits in base64
    assert set(attributes) == {f'Max-Age={int(SESSION_IDLE_S)}', 'Path=/', 'HttpOnly', 'SameSite=Strict'}


def test_no_two_secrets_or_tokens_are_alike(sessions):
    made = [sessions.start(is_phone=False, name="Browser", address='127.0.0.1') for _ in range(50)]
    assert len({secret for secret, _ in made} | {session.csrf for _, session in made}) == 100


@pytest.mark.parametrize('address', ['192.168.1.77', '10.0.0.3', '203.0.113.9', 'fe80::1', 'testclient', ''])
def test_other_devices_are_not_in(address):
    answer = client(client=(address, 1)).get('/')
    assert answer.status_code == 403
    assert 'has not been let in' in answer.text
    assert 'set-cookie' not in answer.headers


@pytest.mark.parametrize('address', ['127.0.0.1', '127.8.9.1', '::1', '::ffff:127.0.0.1'])
def test_this_computer_by_any_of_its_inner_addresses(address):
    assert client(client=(address, 1)).get('/').status_code == 200


@pytest.mark.parametrize('header', ['X-Forwarded-For', 'X-Real-IP', 'Forwarded'])
def test_headers_do_not_make_a_device_this_computer(header):
    value = 'for=127.0.0.1' if header == 'Forwarded' else '127.0.0.1'
    assert client(client=PHONE).get('/', headers={header: value}).status_code == 403


@pytest.mark.parametrize('path', ['/pair', '/static/page.css'])
def test_open_pages_are_for_all_and_start_no_session(path):
    for who in (PHONE, COMPUTER):
        answer = client(client=who).get(path)
        assert (answer.status_code, answer.text) == (200, 'nobody')
        assert 'set-cookie' not in answer.headers


@pytest.mark.parametrize('path', ['/pair/', '/pair/x', '/static', '/staticx', '/Pair', '/nothing', '/static/../'])
def test_paths_beside_the_open_ones_are_closed(path):
    assert client(client=PHONE).get(path).status_code in (400, 403)


def test_phone_with_a_session_is_in(sessions):
    secret, session = sessions.start(is_phone=True, name="Phone", address=PHONE[0])
    there = client(gated_app(sessions=sessions), client=PHONE, cookies={cookie_name(PORT): secret})
    assert there.get('/').text == session.csrf


@pytest.mark.parametrize('secret', ['', 'x', 'a' * 5000, '%00', '"', '../..'])
def test_unknown_cookie(secret):
    there = client(client=PHONE)
    assert there.get('/', headers={'Cookie': f'{cookie_name(PORT)}={secret}'}).status_code == 403


def test_cookie_that_is_no_text():
    assert client(client=PHONE).get('/', headers={'Cookie': b'\xff\xfe=\x80; ;;='}).status_code == 403


def test_end_after_disuse(sessions, clock):
    secret, _ = sessions.start(is_phone=True, name="Phone", address='a')
    clock.now_s += SESSION_IDLE_S - 1
    assert sessions.find(secret) is not None
    clock.now_s += SESSION_IDLE_S - 1
    assert sessions.find(secret) is not None
    clock.now_s += SESSION_IDLE_S + 1
    assert sessions.find(secret) is None


def test_put_out(sessions):
    secret, session = sessions.start(is_phone=True, name="Phone", address='a')
    own_secret, own = sessions.start(is_phone=False, name="Browser", address='b')
    assert sessions.phones() == (session,)
    assert sessions.put_out(session.label)
    assert not sessions.put_out(session.label)
    assert not sessions.put_out(own.label)
    assert sessions.find(secret) is None
    assert sessions.find(own_secret) is not None
    assert sessions.phones() == ()


def test_crowd_of_others_does_not_push_out_a_browser_in_use(sessions, clock):
    mine, _ = sessions.start(is_phone=False, name="Browser", address='a')
    sessions.find(mine)
    for _ in range(5 * MAX_OWN_SESSIONS):
        clock.now_s += 1
        sessions.start(is_phone=False, name="Browser", address='b')
    assert sessions.find(mine) is not None
    assert len(sessions._sessions) == MAX_OWN_SESSIONS


def test_most_phones(sessions, clock):
    own, _ = sessions.start(is_phone=False, name="Browser", address='a')
    for _ in range(MAX_PHONES + 3):
        clock.now_s += 1
        sessions.start(is_phone=True, name="Phone", address='b')
    assert len(sessions.phones()) == MAX_PHONES
    assert sessions.find(own) is not None


def test_cookie_among_others():
    assert cookie_of(['a=1; glass_80=no; glass_8765=yes', 'b=2'], 8765) == 'yes'
    assert cookie_of(['glass_80=no'], 8765) is None
    assert cookie_of([], 8765) is None


@pytest.mark.parametrize(
    ('agent', 'name'),
    [
        ('Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X)', "iPhone"),
        ('Mozilla/5.0 (Linux; Android 16; Pixel 9)', "Android phone"),
        ('<script>alert(1)</script>', "Browser"),
    ],
)
def test_device_names_are_ours(agent, name):
    assert device_name(agent) == name
