"""Styles, programs and drawings of the page: kept by the browser, since their addresses change with their contents."""

import functools
import hashlib
from importlib import resources
from typing import Any

from starlette.responses import Response
from starlette.staticfiles import StaticFiles

# Source: RFC 9111, 5.2.2.1, and RFC 8246: a year, as is common for what never changes under its address.
_KEPT = 'private, max-age=31536000, immutable'
_FOLDER = resources.files('grader.web') / 'static'


def static_files() -> StaticFiles:
    """Answers for ``/static``."""
    return _KeptFiles(directory=str(_FOLDER))


@functools.cache
def static_address(name: str) -> str:
    """Address of a file, with the start of its hash."""
    return f'/static/{name}?{hashlib.sha256((_FOLDER / name).read_bytes()).hexdigest()[:12]}'


class _KeptFiles(StaticFiles):
    """Static files that a browser need not ask for again under an address with a hash."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        """Answer with a file; told to be kept where the address has a hash."""
        answer = super().file_response(*args, **kwargs)
        scope = args[2] if len(args) > 2 else kwargs['scope']
        if scope.get('query_string'):
            answer.headers['cache-control'] = _KEPT
        return answer
