"""A few plain pages behind all layers of safety, for tests of those layers."""

from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from grader.web.security.layers import safety_layers
from grader.web.security.refusal import plain_answer
from grader.web.security.sessions import Sessions

PORT = 8765
OWN = f'http://localhost:{PORT}'
COMPUTER, PHONE = ('127.0.0.1', 50000), ('192.168.1.77', 50000)


class Clock:
    """Time that stands still until it is told to go on."""

    def __init__(self):
        self.now_s = 1000.0

    def __call__(self):
        return self.now_s


async def start(request):
    session = request.scope['session']
    return PlainTextResponse(session.csrf if session else 'nobody')


async def act(request):
    async with request.form() as form:
        return PlainTextResponse(' '.join(sorted(form)))


async def body_size(request):
    return PlainTextResponse(str(len(await request.body())))


async def broken(request):
    raise RuntimeError('a secret of the program')


def gated_app(port=PORT, share=False, clock=None, sessions=None):
    clock = clock or Clock()
    sessions = sessions or Sessions(clock)
    app = Starlette(
        routes=[
            Route('/', start),
            Route('/act', act, methods=['POST']),
            Route('/photos', body_size, methods=['POST']),
            Route('/size', body_size, methods=['POST']),
            Route('/pair', start, methods=['GET', 'POST']),
            Route('/static/page.css', start),
            Route('/broken', broken),
        ],
        middleware=safety_layers(
            port=port,
            share=share,
            sessions=sessions,
            answer=plain_answer,
            clock=clock,
            large_bodies={'photos': 3_000_000},
        ),
    )
    app.state.sessions = sessions
    return app


def client(app=None, client=COMPUTER, base_url=OWN, **settings):
    return TestClient(app or gated_app(), base_url=base_url, client=client, follow_redirects=False, **settings)
