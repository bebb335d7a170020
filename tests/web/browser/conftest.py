"""A real browser for the tests in here: skipped with a reason where there is none, unless it is required."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.patient_protocol import server_settings
from tests.support.chromium import Watch, launched, skip_or_fail
from tests.support.live_server import served


@pytest.fixture(scope='module')
def browser() -> Iterator[Any]:
    """Chromium, started once for each file of tests.

    Not once for all: Playwright keeps an event loop in the main thread, which later tests may want for themselves.
    """
    skip_or_fail()
    with launched() as running:
        yield running


@pytest.fixture
def watch() -> Iterator[Watch]:
    """What pages did that no page may do; a test fails at its end if there was anything.

    A test that provokes a fault on purpose clears the list: ``watch.faults.clear()``.
    """
    noted = Watch()
    yield noted
    assert noted.faults == []


@pytest.fixture
def serve() -> Iterator[Callable[..., str]]:
    """Function that serves an app until the test ends, and tells its address: ``serve(lambda port: app)``."""
    with ExitStack() as stack:
        yield lambda make_app, **settings: stack.enter_context(served(make_app, **settings))


@pytest.fixture
def new_page(browser: Any, watch: Watch, serve: Callable[..., str]) -> Iterator[Callable[..., Any]]:
    """Function that opens a page in a browser of its own (no cookie shared): ``new_page(width=360, height=800)``.

    Pages are closed before what is served ends, hence `serve`.
    """
    with ExitStack() as stack:

        def open_page(width: int = 1280, height: int = 900, **settings: Any) -> Any:
            settings = {'locale': 'en-GB', 'reduced_motion': 'reduce', **settings}
            context = browser.new_context(viewport={'width': width, 'height': height}, **settings)
            stack.callback(context.close)
            page = context.new_page()
            page.set_default_timeout(15_000)
            watch.follow(page)
            context.on('page', watch.follow)
            return page

        yield open_page


@pytest.fixture
def page(new_page: Callable[..., Any]) -> Any:
    """A page 1280 pixels wide."""
    return new_page()


@pytest.fixture
def serve_page(serve: Callable[..., str]) -> Callable[..., str]:
    """Function that serves the page of a collection's folder: ``serve_page(folder)``; settings are the desk's."""

    def start(root: Path, **settings: Any) -> str:
        def make_app(port: int) -> Any:
            return create_app(Desk(root=root, port=port, **settings))

        host = '0.0.0.0' if settings.get('addresses') else '127.0.0.1'
        return serve(make_app, host=host, **server_settings())

    return start
