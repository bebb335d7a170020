"""The browser that tests drive: Chromium of the system, by Playwright."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from grader.web.security.addresses import home_addresses

# Set to "required" where a browser must be there, as in the run of all tests: a skip is a failure then.
NEED = 'GRADER_BROWSER'
# Names under which systems have it, looked for after the environment's CHROMIUM.
NAMES = ('chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome')
OWN_HOSTS = ('127.0.0.1', 'localhost', '::1', *home_addresses())


def browser_program() -> str | None:
    """Path of Chromium; "" where Playwright brings its own, None where there is none."""
    named = os.environ.get('CHROMIUM')
    if named:
        return named
    for name in NAMES:
        found = shutil.which(name)
        if found:
            return found
    own = Path(os.environ.get('PLAYWRIGHT_BROWSERS_PATH', Path.home() / '.cache' / 'ms-playwright'))
    return '' if any(own.glob('chromium*')) else None


def missing_reason() -> str | None:
    """Why no browser can be driven here, or None where one can."""
    for package in ('playwright', 'axe_playwright_python'):
        if find_spec(package) is None:
            return f'the package {package} is not installed'
    if browser_program() is None:
        return 'no Chromium found; install it, or name it in the environment as CHROMIUM'
    return None


def skip_or_fail() -> None:
    """Skip where no browser can be driven, or fail where the environment says that one must."""
    reason = missing_reason()
    if reason is None:
        return
    if os.environ.get(NEED) == 'required':
        pytest.fail(f'{NEED}=required, but {reason}')
    pytest.skip(reason)


@contextmanager
def launched() -> Iterator[Any]:
    """A running browser (Playwright's sync API)."""
    from playwright.sync_api import sync_playwright  # only here, since it may be missing

    program = browser_program()
    # Chromium refuses its sandbox to root; /dev/shm is tiny in containers.
    switches = ['--disable-dev-shm-usage', *(['--no-sandbox'] if os.geteuid() == 0 else [])]
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program or None, args=switches)
        try:
            yield browser
        finally:
            browser.close()


def new_axe() -> Any:
    """axe-core, to be run in a page."""
    from axe_playwright_python.sync_playwright import Axe  # only here, since it may be missing

    return Axe()


class Watch:
    """Notes what no page may do: faults of scripts, breaches of the content policy, requests to other computers."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def follow(self, page: Any) -> None:
        """Watch a page from now on."""
        page.on('pageerror', lambda error: self.faults.append(f'script: {error}'))
        page.on('console', self._console)
        page.on('request', self._request)

    def _console(self, message: Any) -> None:
        # A page that says "not found" or "too large" does its work; the test looks at the status itself.
        # And over the network the page is plain http, where one of our headers means nothing.
        harmless = (
            'Failed to load resource: the server responded with a status of 4',
            'The Cross-Origin-Opener-Policy header has been ignored',
        )
        if message.type == 'error' and not message.text.startswith(harmless):
            self.faults.append(f'console: {message.text}')

    def _request(self, request: Any) -> None:
        address = urlsplit(request.url)
        if address.scheme in ('http', 'https', 'ws', 'wss') and address.hostname not in OWN_HOSTS:
            self.faults.append(f'request to another computer: {request.url}')
