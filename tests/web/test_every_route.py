"""What holds for each address of the page, those that are added later too."""

import pytest

from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.layers import is_open
from tests.support.kept_piece import kept_piece
from tests.support.page_client import PHONE, PageClient
from tests.support.routes import routes_of

ROUTES = list(routes_of(create_app(Desk(root='/nowhere', port=80))))
POSTS = [one for one in ROUTES if one.method == 'POST' and not is_open(one.path)]
CLOSED = [one for one in ROUTES if not is_open(one.path)]


@pytest.fixture(scope='module')
def kept(tmp_path_factory):
    """A piece with two examinations and a comparison."""
    return kept_piece(tmp_path_factory.mktemp('kept'))


@pytest.fixture(scope='module')
def clients(kept):
    desk = Desk(root=kept.place.root, port=80, key=kept.place.root.parent / 'key.pem')
    with PageClient(desk, raise_server_exceptions=False) as own:
        stranger = PageClient(desk, client=PHONE, raise_server_exceptions=False)
        yield own, stranger


def test_only_get_and_post():
    assert {one.method for one in ROUTES} == {'GET', 'POST'}


def test_only_the_page_that_takes_a_code_is_open():
    assert {one.path for one in ROUTES if is_open(one.path)} == {'/pair'}


@pytest.mark.parametrize('route', POSTS, ids=str)
@pytest.mark.parametrize(
    'content',
    [{}, {'data': {'csrf': 'x'}}, {'files': {'csrf': 'x', 'photos': b'x'}}, {'json': {'csrf': 'x'}}],
    ids=['nothing', 'form', 'file', 'json'],
)
def test_nothing_is_done_without_the_token(clients, route, content):
    own, _ = clients
    own.get('/help')
    answer = super(PageClient, own).post(route.example, **content)
    assert answer.status_code == 403
    assert "nothing was done" in answer.text


@pytest.mark.parametrize('route', POSTS, ids=str)
def test_nothing_is_done_for_the_forms_of_other_pages(clients, route):
    own, _ = clients
    assert own.post(route.example, headers={'Origin': 'https://evil.example'}).status_code == 403


@pytest.mark.parametrize('route', CLOSED, ids=str)
def test_strangers_see_nothing(clients, route):
    own, stranger = clients
    headers = {'X-Csrf': own.token}
    answer = stranger.request(route.method, route.example, headers=headers)
    assert answer.status_code == 403
    assert "has not been let in" in answer.text
    assert 'set-cookie' not in answer.headers


@pytest.mark.parametrize('route', ROUTES, ids=str)
def test_other_names_for_us_see_nothing(clients, route):
    own, _ = clients
    answer = own.request(route.method, route.example, headers={'Host': 'evil.example', 'X-Csrf': own.token})
    assert answer.status_code == 421


@pytest.mark.parametrize('route', ROUTES, ids=str)
@pytest.mark.parametrize('method', ['PUT', 'DELETE', 'PATCH', 'OPTIONS'])
def test_other_methods(clients, route, method):
    own, _ = clients
    assert own.request(method, route.example, headers={'X-Csrf': own.token}).status_code == 405


HOSTILE = ['..%2f..%2f..%2fetc%2fpasswd', '%2e%2e', '%00', '%0d%0aSet-Cookie:%20a=1', '-1', '99999999999999999999', 'é', '*',
           "'%20OR%201=1--", '%3Cscript%3Ealert(1)%3C/script%3E', 'a' * 500, '%ff', 'CON', '%f0%9f%92%a9', '~root', ' ']  # fmt: skip


@pytest.mark.parametrize('route', [one for one in ROUTES if '{' in one.path], ids=str)
def test_hostile_names_in_addresses(clients, route):
    own, _ = clients
    for name in HOSTILE:
        address = route.path
        while '{' in address:
            start, end = address.index('{'), address.index('}') + 1
            address = address[:start] + name + address[end:]
        answer = own.request(route.method, address, headers={'X-Csrf': own.token})
        assert answer.status_code < 500, (address, answer.text)
        assert 'root:' not in answer.text
        assert '<script>alert' not in answer.text
        assert answer.cookies.get('a') is None


# What takes the piece away comes last.
LATE = ('/pieces/{id}/remove',)


@pytest.mark.parametrize(
    'route', sorted((one for one in ROUTES if one.method == 'POST'), key=lambda one: one.path in LATE), ids=str
)
@pytest.mark.parametrize(
    ('kind', 'body'),
    [
        ('application/x-www-form-urlencoded', b'\xff\xfe=%ff%fe&%00=%00&a[]=1&=&&&'),
        ('application/x-www-form-urlencoded; charset=utf-16', 'name=a'.encode('utf-16')),
        ('multipart/form-data', b'x'),
        ('multipart/form-data; boundary=x', b'--x\r\n\r\n--x--'),
        ('multipart/form-data; boundary=x', b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n'),
        ('multipart/form-data; boundary=x', b'--x\r\nContent-Disposition: form-data; name="\xff\x00"; filename="../../a\r\nb"\r\n\r\n1\r\n--x--\r\n'),
        ('multipart/form-data; boundary=x', b''.join(b'--x\r\nContent-Disposition: form-data; name="%s"; filename="../../../x\r\n"\r\n\r\n1\r\n' % name for name in (b'title', b'words', b'when', b'code', b'bag', b'photos', b'before')) + b'--x--\r\n'),
        ('application/json', b'{"a": ' * 10_000),
        ('application/json', b'\xff'),
        ('application/json', b'null'),
        ('application/json', b'[[[]]]'),
        ('application/json', b'NaN'),
        ('text/plain', b'a'),
        ('\xff', b'a'),
        ('', b''),
    ],
    ids=range(15),
)  # fmt: skip
def test_hostile_bodies(clients, kept, route, kind, body):
    own, _ = clients
    headers = {'X-Csrf': own.token, 'Content-Type': kind.encode('latin-1')}
    real = route.path.replace('{id}', kept.piece.piece.id).replace('{piece_id}', kept.piece.piece.id)
    for address in {route.example, real.replace('{number:int}', '1').replace('{token}', 'x').replace('{key}', 'x')}:
        answer = own.request('POST', address, content=body, headers=headers)
        assert answer.status_code < 500, (address, answer.text)


def test_nothing_of_all_that_left_its_folder(kept):
    """Runs last: what the tests above sent lies nowhere beside the collection."""
    beside = {one.name for one in kept.place.root.parent.iterdir()}
    assert beside <= {'collection', 'key.pem', 'examined-0', 'examined-1', 'photo-0', 'photo-1', 'compared'}
    assert not [one for one in kept.place.root.rglob('*') if one.suffix in ('.tmp', '.part')]
