"""Texts that are hard on a page, and a client for a collection."""

import re
from html import unescape
from typing import Any

from grader.collection.piece import OWNER_FIELDS, Piece
from grader.web.desk import Desk
from tests.support.page_client import PageClient

HOSTILE = (
    '<script>alert(1)</script>',
    '"><img src=x onerror=alert(1)>',
    '</textarea><b>out</b>',
    "{{ 7 * 7 }} {% raw %} &amp; &lt;",
    '\u202eright to left\u202c and \u2067isolated\u2069',
    'emoji 🏺🔮👩‍🔬 and ﷽',
    'x' * 20_000,
    '\n\nleading lines\n\ttab',
    'two\nlines',
)
FULL = {
    **{name: f'what stands in {name}' for name in OWNER_FIELDS},
    'date_or_period': 'about 1850', 'date_documented': '2004-11-30', 'bought_when': '1968', 'valued_when': '2020-05',
    'price': '85.50 GBP', 'value': '1250.00 EUR',
}  # fmt: skip
_AREA = re.compile(r'<textarea id="f-(?P<name>\w+)"[^>]*>\n(?P<text>.*?)</textarea>', re.DOTALL)


def client_of(root: Any) -> PageClient:
    """Client of a desk at a folder."""
    return PageClient(Desk(root))


def multipart(fields: dict[str, str]) -> dict[str, Any]:
    """A form as a browser sends it with this page's way of encoding: each field a part, line ends as CR LF."""
    return {
        'files': [(name, (None, text.replace('\r\n', '\n').replace('\n', '\r\n'))) for name, text in fields.items()]
    }


def form_texts(page: str) -> dict[str, str]:
    """Text of each field of a form as a browser takes it from the page."""
    return {found['name']: unescape(found['text']) for found in _AREA.finditer(page)}


def hidden(page: str, name: str) -> str:
    """Value of a hidden field."""
    found = re.search(rf'<input type="hidden" name="{name}" value="([^"]*)">', page)
    assert found is not None
    return unescape(found[1])


def texts(piece: Piece) -> dict[str, str]:
    """What the owner filled in."""
    return {name: getattr(piece, name) for name in OWNER_FIELDS if getattr(piece, name)}
