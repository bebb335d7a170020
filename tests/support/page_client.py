"""A browser of this computer, without a browser: asks under the right name, keeps cookies, knows the token of forms."""

import re
from typing import Any

from starlette.testclient import TestClient

from grader.web.app import create_app
from grader.web.desk import Desk

COMPUTER, PHONE = ('127.0.0.1', 50000), ('192.168.1.77', 50000)


class PageClient(TestClient):
    """Client whose every POST carries the session's token, as a script's does; ``follow_redirects`` is off."""

    def __init__(self, desk: Desk, client: tuple[str, int] = COMPUTER, **settings: Any) -> None:
        settings = {'base_url': f'http://127.0.0.1:{desk.port}', 'follow_redirects': False, **settings}
        super().__init__(create_app(desk), client=client, **settings)
        self._token: str | None = None

    @property
    def token(self) -> str:
        """The session's token, as each page carries it."""
        if self._token is None:
            found = re.search(r'<meta name="csrf" content="([^"]+)">', self.get('/help').text)
            assert found is not None
            self._token = found[1]
        return self._token

    def post(self, url: str, *, headers: Any = None, **content: Any) -> Any:
        """Send a form, a file or JSON with the token."""
        return super().post(url, headers={'X-Csrf': self.token, **(headers or {})}, **content)
